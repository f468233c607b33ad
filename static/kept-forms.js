// Forms of the yard, whatever boxes they have: a tap is kept on the phone before anything is sent. A form is one of
// them by its attribute `data-keep`, which says what it is in words.

import { newKey } from "./kept-store.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/** Boxes that are no part of what was typed. */
const OWN = ["form_key", "token", "again"];
/** The box of a ticket's number, which is told first. */
const NUMBER = "number";
/** Most words about an entry in the list of what waits. */
const WORDS = 8;

/** @param {HTMLFormElement} form @param {string} name */
export function hidden(form, name) {
  const box = form.querySelector(`input[name="${name}"]`);
  return box instanceof HTMLInputElement ? box : null;
}

/** The forms of a page that are kept. @param {ParentNode} [within] */
export function keptForms(within = document) {
  return /** @type {NodeListOf<HTMLFormElement>} */ (within.querySelectorAll("form[data-keep]"));
}

/**
 * Gives each form a key of its own: a page shown from the phone's store has been used before.
 */
export function freshKeys() {
  for (const form of keptForms()) freshKey(form);
}

/** @param {HTMLFormElement} form */
export function freshKey(form) {
  const box = hidden(form, "form_key");
  if (!box) return;
  // The token that came with the page goes with the key that came with it.
  box.dataset.first ??= box.value;
  box.value = newKey(Date.now());
}

/** Several buttons of a page may share one key: on the phone each tap is an entry of its own. */
export function ownKeys() {
  /** @type {Set<string>} */
  const taken = new Set();
  for (const form of keptForms()) {
    const key = hidden(form, "form_key")?.value ?? "";
    if (taken.has(key)) freshKey(form);
    taken.add(key);
  }
}

/** The address of a page that came back from a form of a boil: it is the page of that boil. @param {string} path */
export const pageOf = (path) => path.replace(/^(\/boils\/[^/]+)\/(readings|finish|fills)$/, "$1");

/** The address that a form goes to with this button. @param {HTMLFormElement} form @param {HTMLElement | null} button */
export function target(form, button) {
  const to = button?.getAttribute("formaction") ?? form.getAttribute("action") ?? location.pathname;
  return new URL(to, location.href).pathname;
}

/**
 * What was typed, box by box in the order of the form, with the button that sent it.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button
 * @returns {[string, string][]}
 */
export function boxesOf(form, button) {
  const named = button instanceof HTMLButtonElement && button.name !== "" ? button : null;
  /** @type {[string, string][]} */
  const all = [];
  for (const [name, value] of new FormData(form, named)) {
    if (typeof value === "string" && !OWN.includes(name)) all.push([name, value]);
  }
  return all;
}

/**
 * What an entry is, in words a person knows it by: the form's own, and what stands in its first boxes.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button
 */
function inWords(form, button) {
  /** @type {string[]} */
  const said = [];
  for (const box of form.elements) {
    if (said.length >= WORDS) break;
    const words = boxInWords(box);
    if (words) said.push(words);
  }
  const number = hidden(form, NUMBER)?.value.trim();
  if (number) said.unshift(`ticket ${number}`);
  if (button instanceof HTMLButtonElement && button.name) said.unshift(button.innerText.trim());
  const [kind, page] = [form.dataset.keep ?? "Entry", document.querySelector("h1")?.textContent?.trim() ?? ""];
  const named = page.toLowerCase().startsWith(kind.toLowerCase()) ? [page] : [kind, page];
  return [...named, ...said].filter(Boolean).join(" · ");
}

/** What a box is called: the lines of a large button one after the other, without what only marks it. @param {HTMLInputElement | HTMLTextAreaElement} box */
function labelOf(box) {
  const label = box.labels?.[0]?.cloneNode(true);
  if (!(label instanceof HTMLElement)) return "";
  for (const mark of label.querySelectorAll(".tag")) mark.remove();
  for (const end of label.querySelectorAll("br")) end.replaceWith(", ");
  return (label.textContent ?? "").replace(/\s+/g, " ").replace(/ ,/g, ",").trim();
}

/** @param {Element} box */
function boxInWords(box) {
  if (box instanceof HTMLSelectElement) return box.value === "" ? "" : (box.selectedOptions[0]?.text ?? "");
  if (!(box instanceof HTMLInputElement || box instanceof HTMLTextAreaElement) || box.type === "hidden" || ["", NUMBER].includes(box.name)) return "";
  // "Refractometer, °Bx, if read" is a question; of what was read it is "Refractometer, °Bx".
  const label = labelOf(box).replace(/, if [^,]*/g, "");
  if (box.type === "checkbox" || box.type === "radio") return box instanceof HTMLInputElement && box.checked ? label : "";
  const value = box.value.trim();
  if (value === "") return "";
  return label === "" ? value : `${label}: ${value}`;
}

/**
 * The entry that a tap makes.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button
 * @param {{ member: string, name: string, ahead: number | null }} who
 * @returns {Entry}
 */
export function entryOf(form, button, who) {
  return {
    key: hidden(form, "form_key")?.value ?? "",
    target: target(form, button),
    boxes: boxesOf(form, button),
    what: inWords(form, button),
    by: who.member,
    byName: who.name,
    tapped: Math.floor(Date.now() / 1000),
    ahead: who.ahead,
    state: "waits",
    answer: "",
    status: 0,
    tries: 0,
    ...whence(form),
  };
}

/**
 * Where what was typed can be changed, and whose cane it is.
 * @param {HTMLFormElement} form
 * @returns {{ page?: string, whose?: string }}
 */
function whence(form) {
  if (!form.matches(".sheet")) return {};
  const page = pageOf(location.pathname) + location.search;
  const chosen = form.querySelector('input[name="whose"]:checked') ?? form.querySelector('input[name="member"]:checked');
  const label = chosen instanceof HTMLInputElement ? chosen.labels?.[0] : null;
  if (!label) return { page };
  return { page, whose: (label.querySelector("bdi") ?? label).textContent?.trim().replace(/, no\. \d+$/, "") };
}

/** Puts what was typed into a form again, under its own key. @param {HTMLFormElement} form @param {Entry} entry */
export function fillIn(form, entry) {
  for (const box of form.elements) {
    if (box instanceof HTMLInputElement && ["checkbox", "radio"].includes(box.type)) {
      box.checked = entry.boxes.some(([name, value]) => name === box.name && value === box.value);
    } else if (box instanceof HTMLInputElement || box instanceof HTMLTextAreaElement || box instanceof HTMLSelectElement) {
      const typed = entry.boxes.find(([name]) => name === box.name);
      if (typed) box.value = typed[1];
    }
    // What is folded away is opened where somebody typed something; the scale and the number stand there by themselves.
    const name = box.getAttribute("name") ?? "";
    if (!["scale", NUMBER].includes(name) && entry.boxes.some(([of, value]) => of === name && value !== "")) unfold(box);
  }
  unfold(form);
  const key = hidden(form, "form_key");
  if (key) {
    key.dataset.first ??= key.value;
    key.value = entry.key;
  }
  // Where one figure is asked after the other, all are looked at now.
  form.dispatchEvent(new Event("filled"));
}

/** @param {Element} part */
export function unfold(part) {
  for (let at = part.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
}

/** What a refractometer and a thermometer can show, least and most: the mill reads nothing else. @type {[RegExp, number, number, string][]} */
const SHOWS = [
  [/°Bx|Brix/, 0, 95, "a Brix from 0 to 95: fresh juice reads about 10 to 20, syrup 74 to 80"],
  [/°C/, -40, 200, "a temperature from −40 to 200 °C"],
  [/°F/, -40, 392, "a temperature from −40 to 392 °F"],
];

/**
 * The first figure of a form that no instrument shows, and what is said of it.
 * @param {HTMLFormElement} form
 * @returns {{ box: HTMLInputElement, words: string } | null}
 */
export function beyond(form) {
  for (const box of form.elements) {
    if (!(box instanceof HTMLInputElement) || !box.matches("input.short, input.reading")) continue;
    const label = box.labels?.[0]?.textContent?.trim() ?? "";
    const shows = SHOWS.find(([unit]) => unit.test(label));
    const plain = box.value.trim().replace(",", ".").replace("−", "-");
    if (!shows || !/^-?\d*\.?\d+$/.test(plain) || (Number(plain) >= shows[1] && Number(plain) <= shows[2])) continue;
    return { box, words: `${label.replace(/, .*/, "")} ${box.value.trim()}: please write ${shows[3]}.` };
  }
  return null;
}

/**
 * Says in the form which figure no instrument shows, before it is kept: without network nobody else would say it.
 * @param {HTMLFormElement} form
 * @returns {boolean} whether there is one
 */
export function sayBeyond(form) {
  form.querySelector(".beyond")?.remove();
  const far = beyond(form);
  if (!far) return false;
  const alarm = document.createElement("div");
  alarm.className = "alarm beyond";
  alarm.setAttribute("role", "alert");
  const words = document.createElement("p");
  words.textContent = `${far.words} Nothing was kept yet.`;
  alarm.append(words);
  form.prepend(alarm);
  unfold(far.box);
  alarm.scrollIntoView({ block: "nearest" });
  far.box.focus();
  return true;
}

/**
 * Sends a form the plain way, as without scripts, so that the page that comes back is the mill's own.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} [entry] what the mill has answered already
 */
export function sendPlainly(form, button, entry) {
  const key = hidden(form, "form_key");
  if (!entry && key?.dataset.first) key.value = key.dataset.first;
  if (entry) {
    // The answer bears the token that goes with this key.
    const page = new DOMParser().parseFromString(entry.answer, "text/html");
    for (const box of page.querySelectorAll('input[name="form_key"]')) {
      const token = box.parentElement?.querySelector('input[name="token"]');
      const own = hidden(form, "token");
      if (box.getAttribute("value") === entry.key && token && own) own.value = token.getAttribute("value") ?? "";
    }
  }
  if (button instanceof HTMLButtonElement) {
    if (button.hasAttribute("formaction")) form.action = button.formAction;
    if (button.name) {
      const box = document.createElement("input");
      [box.type, box.name, box.value] = ["hidden", button.name, button.value];
      form.append(box);
    }
  }
  form.submit();
}

/** What has to be done first by the page that an entry came back with: addresses and words. @param {Entry} entry @returns {[string, string][]} */
export function firstOf(entry) {
  const page = new DOMParser().parseFromString(entry.answer, "text/html");
  return [...page.querySelectorAll("main a[data-first]")].map((way) => [way.getAttribute("href") ?? "", way.textContent?.trim() ?? ""]);
}

/**
 * How what an entry came back with can be answered by one tap: boxes and values that say that it is so, with the words of the form.
 * @param {Entry} entry
 * @returns {{ box: string, value: string, words: string }[]}
 */
export function answersOf(entry) {
  const page = new DOMParser().parseFromString(entry.answer, "text/html");
  const form = [...page.querySelectorAll("main form")].find((one) => one.querySelector('input[name="form_key"]')?.getAttribute("value") === entry.key);
  // The button stands on every page that was refused; only some reasons are questions that it answers.
  const isAsked = /Yes, it is so|, really\?/.test(reason(entry));
  const asked = [...(form?.querySelectorAll(`${isAsked ? 'button[name="sure"], ' : ""}input[type="checkbox"][aria-invalid]`) ?? [])];
  return asked.map((one) => ({
    box: one.getAttribute("name") ?? "",
    value: one.getAttribute("value") ?? "",
    words: (one.tagName === "BUTTON" ? one : form?.querySelector(`label[for="${one.id}"]`))?.textContent?.trim() ?? "",
  })).filter((one) => one.box !== "" && one.value !== "" && one.words !== "");
}

/** Why an entry came back, out of the page it came back with: each reason by itself. @param {Entry} entry @returns {string[]} */
export function reasons(entry) {
  const page = new DOMParser().parseFromString(entry.answer, "text/html");
  const main = page.querySelector("main");
  const beside = [...(main?.querySelectorAll(".alarm p, .alarm li") ?? [])].map((p) => p.textContent?.trim() ?? "");
  const said = beside.filter((words) => words !== "" && !words.startsWith("Nothing was stored yet"));
  if (said.length > 0) return said;
  const plain = main?.querySelector("h1 + p")?.textContent?.trim();
  return [plain || `The mill did not take it (${entry.status}).`];
}

/** The same in one line. @param {Entry} entry */
export const reason = (entry) => reasons(entry).join(" ");
