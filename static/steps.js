// Forms of the yard on a phone: one figure at a time, with keys for wet thumbs, and at the end all figures to look
// at with one button. A form works without this: it is one plain form then.
const coarse = matchMedia("(pointer: coarse)");
const small = matchMedia("(max-width: 47.99rem), (max-height: 30rem)");
const form = document.querySelector("form.sheet");
/** @type {HTMLElement[]} */
const steps = form ? [...form.querySelectorAll("[data-step]")].filter((s) => s instanceof HTMLElement) : [];
/** @type {HTMLInputElement | null} */
let box = null;
let place = -1;
/** @type {HTMLElement | null} */
let pad = null;

/** @param {string} name @param {string} look @param {string} words */
function make(name, look, words) {
  const made = document.createElement(name);
  if (look) made.className = look;
  if (words) made.textContent = words;
  return made;
}

/** @param {string} look @param {string} words @param {() => void} does */
function button(look, words, does) {
  const made = make("button", look, words);
  made.setAttribute("type", "button");
  made.addEventListener("click", does);
  return made;
}

/** The figure box of a step, if it has one. @param {HTMLElement} step */
function figureOf(step) {
  const found = step.querySelector("input.short");
  return found instanceof HTMLInputElement ? found : null;
}

/** The choices of a step. @param {HTMLElement} step @returns {HTMLInputElement[]} */
function choicesOf(step) {
  return [...step.querySelectorAll("input[type=radio]")].filter((c) => c instanceof HTMLInputElement);
}

/** @param {HTMLElement} step */
function title(step) {
  const named = step.querySelector(".box > label, legend");
  return step.dataset.title || (named?.textContent || "").replace(/,.*/, "");
}

/** What a step holds now, in words. @param {HTMLElement} step */
function held(step) {
  const figure = figureOf(step);
  if (figure?.value) return `${figure.value} ${step.dataset.unit || ""}`.trim();
  const chosen = choicesOf(step).find((c) => c.checked);
  if (!chosen) return "";
  const label = step.querySelector(`label[for="${chosen.id}"]`);
  return (label?.querySelector("strong")?.textContent || label?.firstChild?.textContent || "").trim();
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

/** Keys for digits: the unit among them, as large as the figure. @param {string} fraction @param {string} unit */
function keys(fraction, unit) {
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

/** Shows the keys for a box and keeps the phone's own away. @param {HTMLInputElement} input @param {HTMLElement} at */
function bring(input, at) {
  box = input;
  input.setAttribute("inputmode", "none");
  const time = input.closest("[data-time]") || /time|weighed|pressed/.test(input.name);
  pad?.remove();
  pad = keys(time ? ":" : at.dataset.keys || ".", at.dataset.unit || "");
  at.append(pad);
}

/** @param {number} to */
function show(to) {
  if (!form) return;
  place = to;
  const last = place >= steps.length;
  form.classList.toggle("looking", last);
  steps.forEach((step, n) => { step.hidden = n !== place; });
  for (const part of form.querySelectorAll(":scope > :not([data-step]):not(input):not(.trail)")) {
    if (part instanceof HTMLElement && part.getAttribute("role") !== "alert") part.hidden = !last;
  }
  trail();
  if (last) {
    pad?.remove();
    box = null;
    form.querySelector("button.wide")?.scrollIntoView({ block: "nearest" });
    return;
  }
  const step = steps[place];
  const figure = figureOf(step);
  if (figure) bring(figure, step);
  else pad?.remove();
  own(step);
  scrollTo(0, 0);
}

/** Of tares only those of whoever is chosen, and of trailers. @param {HTMLElement} step */
function own(step) {
  const chosen = form?.querySelector("input[name=whose]:checked");
  const found = form?.querySelector("input[name=member]:checked");
  const who = chosen instanceof HTMLElement ? chosen.dataset.member
    : found instanceof HTMLInputElement ? found.value : "";
  for (const part of step.querySelectorAll("[data-whose]")) {
    if (part instanceof HTMLElement) part.hidden = Boolean(who) && part.dataset.whose !== who;
  }
}

/** The figures so far, each a way back to it; at the end the net weight, large. */
function trail() {
  const line = form?.querySelector(".trail");
  if (!line) return;
  line.replaceChildren();
  steps.forEach((step, n) => {
    const is = held(step);
    if (n < place && is) line.append(button("past", `${title(step)}: ${is}`, () => show(n)));
  });
  const [gross, tare] = ["gross", "tare"].map((name) => {
    const found = form?.querySelector(`[data-step=${name}]`);
    return found instanceof HTMLElement ? found : null;
  });
  if (place < steps.length || !gross || !tare) return;
  const unit = gross.dataset.unit || "";
  const [a, b] = [number(figureOf(gross)?.value), tareOf(tare)];
  if (a === null || b === null) return;
  line.append(make("p", "net", `${a} − ${b} = ${Number((a - b).toFixed(3))} ${unit} net`));
}

/** @param {string | undefined} text */
function number(text) {
  const read = Number((text || "").trim().replace(",", "."));
  return text && Number.isFinite(read) ? read : null;
}

/** @param {HTMLElement} step */
function tareOf(step) {
  const typed = number(figureOf(step)?.value);
  if (typed !== null) return typed;
  const known = choicesOf(step).find((c) => c.checked);
  return known ? number(known.value.split("|")[0]) : null;
}

function next() {
  if (place < steps.length) {
    const step = steps[place];
    const figure = figureOf(step);
    if (figure && !figure.value && !held(step)) { figure.focus(); return; }
    show(place + 1);
  }
}

/** A tap on a choice is the answer. @param {Event} event */
function chosen(event) {
  const at = event.target;
  if (!(at instanceof HTMLInputElement) || at.type !== "radio" || place >= steps.length) return;
  const figure = figureOf(steps[place]);
  if (figure && steps[place].contains(at)) figure.value = "";
  next();
}

function begin() {
  if (!form || steps.length === 0) return;
  if (!small.matches || form.querySelector(".problem")) {
    form.addEventListener("focusin", (event) => {
      const at = event.target;
      if (!coarse.matches || !(at instanceof HTMLInputElement) || !at.matches("input.short")) return;
      const step = at.closest("[data-step]") || at.closest(".box");
      if (step instanceof HTMLElement) bring(at, step);
    });
    return;
  }
  document.body.classList.add("stepping");
  const line = make("div", "trail", "");
  line.setAttribute("aria-live", "polite");
  form.prepend(line);
  form.addEventListener("change", chosen);
  form.addEventListener("input", (event) => {
    // What is typed stands for what was tapped.
    if (event.target instanceof HTMLInputElement && event.target.matches("input.short") && place < steps.length) {
      for (const choice of choicesOf(steps[place])) choice.checked = false;
    }
  });
  for (const step of steps) {
    if (!figureOf(step)) {
      const more = button("do plain on", "Next", next);
      step.append(more);
    }
  }
  // Kept on the phone, the form is emptied for the next: that starts with the first question again.
  form.addEventListener("reset", () => setTimeout(() => show(0)));
  // Filled in again to be changed, all figures are looked at.
  form.addEventListener("filled", () => show(steps.length));
  const first = steps.findIndex((step) => !held(step));
  show(first < 0 ? steps.length : first);
}

begin();
