// Keys of at least 56 px for wet thumbs, under the figure that is typed: digits, the fraction or the colon of a time, the
// unit as large as the figure. Forms work without this, with the phone's own keys.
const coarse = matchMedia("(pointer: coarse)");
/** @type {HTMLInputElement | null} */
let box = null;
/** @type {HTMLElement | null} */
let pad = null;

/** @param {string} name @param {string} look @param {string} words */
export function make(name, look, words) {
  const made = document.createElement(name);
  if (look) made.className = look;
  if (words) made.textContent = words;
  return made;
}

/** @param {string} look @param {string} words @param {() => void} does */
export function button(look, words, does) {
  const made = make("button", look, words);
  made.setAttribute("type", "button");
  made.addEventListener("click", does);
  return made;
}

/** @param {string} key */
function press(key) {
  if (!box) return;
  if (key === "⌫") box.value = box.value.slice(0, -1);
  else if (key === "Clear") box.value = "";
  else if (/^[.:]/.test(key)) { if (!/[.,:]/.test(box.value)) box.value += key; }
  else box.value += key;
  box.dispatchEvent(new Event("input", { bubbles: true }));
}

/** @param {string} fraction @param {string} unit @param {() => void} next */
function keys(fraction, unit, next) {
  const made = make("div", "keys", "");
  made.setAttribute("role", "group");
  made.setAttribute("aria-label", "Keys");
  const rows = [["1", "2", "3"], ["4", "5", "6", "⌫"], ["7", "8", "9", "Clear"], [fraction, "0"]];
  rows.forEach((row, n) => {
    for (const key of row) {
      const one = button(key.length > 2 || key === "⌫" ? "digit word" : "digit", key, () => press(key));
      if (key === "⌫") one.setAttribute("aria-label", "Delete the last digit");
      made.append(one);
    }
    if (n === 0) made.append(make("span", "unit", unit));
  });
  made.append(button("do on", "Next", next));
  return made;
}

/** What only forms with keys need is fetched with the first key. */
function styled() {
  const from = document.querySelector("script[data-css]");
  const css = from instanceof HTMLElement ? (from.dataset.css ?? "") : "";
  if (css === "" || document.querySelector(`link[href="${css}"]`)) return;
  const link = document.createElement("link");
  [link.rel, link.href, link.dataset.keys] = ["stylesheet", css, "yes"];
  link.addEventListener("load", inSight);
  document.head.append(link);
}

/** Puts the keys away. */
export function away() {
  pad?.remove();
  box = pad = null;
}

/** Shows the keys for a box and keeps the phone's own away. @param {HTMLInputElement} input @param {HTMLElement} at @param {() => void} next */
export function bring(input, at, next) {
  if (box === input && pad?.isConnected) return inSight();
  styled();
  pad?.remove();
  box = input;
  input.dataset.mode ??= input.inputMode;
  input.setAttribute("inputmode", "none");
  const time = /time|weighed|pressed|_at$/.test(input.name);
  const named = document.querySelector(`label[for="${input.id}"]`)?.textContent ?? "";
  const unit = at.dataset.unit ?? (time ? "" : /, (lb|kg|gal|oz|g|L|°F|°C|°Bx)\b/.exec(named)?.[1] ?? "");
  pad = keys(time ? ":" : at.dataset.keys || ".", unit, next);
  at.append(pad);
  inSight();
  // The browser's own scrolling to what has the focus comes after this.
  requestAnimationFrame(inSight);
}

/** Whether the keys lie beside the form, over the page: on a phone that lies on its side. */
const beside = () => pad !== null && getComputedStyle(pad).position === "fixed";

/** How far down the page is covered by what is wrong with the form, px. */
function covered() {
  const alarm = box?.form?.querySelector(":scope > .alarm[role=alert]");
  if (!alarm || getComputedStyle(alarm).position !== "sticky") return 0;
  return alarm.getBoundingClientRect().height;
}

/** Brings the box and its keys into sight together, and moves no more than that needs. Without room for both, the box: nobody types blind. */
export function inSight() {
  if (!box || !pad?.isConnected) return;
  const [at, label] = [box.getBoundingClientRect(), box.labels?.[0]?.getBoundingClientRect()];
  const below = (beside() ? at.bottom : pad.getBoundingClientRect().bottom) - innerHeight;
  const above = Math.min(at.top, label && label.height > 0 ? label.top : at.top) - covered();
  const by = below > 0 ? Math.min(below, above) : Math.min(0, above);
  if (by !== 0) scrollBy({ top: by, behavior: "instant" });
}

/** On to the next figure of the form, from the last to its button. @param {HTMLInputElement} input */
function onward(input) {
  const form = input.form;
  if (!form) return;
  const all = [...form.querySelectorAll("input.short, input.reading, button.do:not(.plain):not(.on)")];
  const after = all.filter((one) => one instanceof HTMLElement && one.checkVisibility()
    && Boolean(input.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING));
  away();
  if (after[0] instanceof HTMLElement) after[0].focus();
}

document.addEventListener("focusin", (event) => {
  const at = event.target;
  if (!coarse.matches || document.body.classList.contains("stepping") || !(at instanceof HTMLInputElement)) return;
  if (!at.matches("form.sheet input.short, form.sheet input.reading")) return;
  const place = at.closest("[data-step]") || at.closest(".box");
  if (place instanceof HTMLElement) bring(at, place, () => onward(at));
});

matchMedia("(orientation: portrait)").addEventListener("change", inSight);
// What was typed is kept on the phone: nothing is typed any more. Where one figure is asked after the other, the first is.
document.addEventListener("kept", () => { if (!document.body.classList.contains("stepping")) away(); });
// The line above says more once the network is gone, and pushes them down; not while somebody reads the list behind it.
const line = document.getElementById("kept");
if (line) new ResizeObserver(() => { if (!line.querySelector("details[open]")) inSight(); }).observe(line);
// Over the page they would lie over what is tapped next.
document.addEventListener("click", (event) => {
  if (box?.form && beside() && !document.body.classList.contains("stepping") && !event.composedPath().includes(box.form)) away();
});
