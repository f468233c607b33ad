// One entry for one tap: a second tap on a form that was kept just now adds nothing, nor does a form that the browser has filled in
// again after its page was left; and what was kept here before with the same content is asked about.

import { boxesOf, hidden, target } from "./kept-forms.js";
import { callInSight } from "./kept-pan.js";
import { NEW_TICKET } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */
/** @typedef {import("./kept-doubts.js").Doubt} Doubt */

/** A tap on the button that was tapped so long before is the same tap, unless something was typed in between, ms. */
const TWICE_MS = 10_000;
/** The same content is asked about for so long after it was kept, s; a reading, which may well be the same again, for less. */
const [AGAIN_S, READ_AGAIN_S] = [30 * 60, 60];
/** Boxes that say how an entry was sent, not what it is. */
const BESIDE = ["number", "of_phone", "sure", "another"];

/** Forms that a hand has typed into, since they were opened or kept last. @type {WeakSet<HTMLFormElement>} */
const typedInto = new WeakSet();
/** What was kept of a form last: by which button, under which key, and when. @type {WeakMap<HTMLFormElement, { button: HTMLElement | null, key: string, at: number }>} */
const last = new WeakMap();

document.addEventListener("input", (event) => {
  const form = event.target instanceof Element ? event.target.closest("form") : null;
  if (form) typedInto.add(form);
});

/** The form is ready for its next entry. @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} entry */
export function noteTap(form, button, entry) {
  typedInto.delete(form);
  last.set(form, { button, key: entry.key, at: performance.now() });
}

/**
 * Whether this is the tap that was kept a moment ago, once more: then that is said, and nothing else happens. The boxes are empty by
 * then, and a key of one tap may show another figure.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button
 */
export function isSameTap(form, button) {
  const before = last.get(form);
  if (!before || before.button !== button || typedInto.has(form) || performance.now() - before.at > TWICE_MS) return false;
  const note = document.getElementById("kept-note");
  if (note && !note.querySelector(".once")) {
    const words = document.createElement("p");
    [words.className, words.textContent] = ["once", "Tapped twice: it is kept once."];
    note.append(words);
  }
  note?.focus();
  callInSight();
  return true;
}

/** @param {[string, string][]} boxes */
const content = (boxes) => JSON.stringify(boxes.filter(([name]) => !BESIDE.includes(name)).map(([name, value]) => [name, value.trim()]));

/** The newest entry with the same content, waiting on this phone or sent by it. @param {Store} store @param {HTMLFormElement} form @param {HTMLElement | null} button */
async function sameBefore(store, form, button) {
  const [to, says] = [target(form, button), content(boxesOf(form, button))];
  const all = [...((await store.fact("gone")) ?? []), ...(await store.all())];
  return all.findLast((/** @type {Entry} */ one) => one.target === to && content(one.boxes) === says && Math.abs(Date.now() / 1000 - one.tapped) <= AGAIN_S);
}

/** Whether the browser has filled a form in again: what stands in it nobody has typed on this page. @param {HTMLFormElement} form */
function isRestored(form) {
  if (typedInto.has(form) || location.hash.startsWith("#change-")) return false;
  return [...form.elements].some((box) => (box instanceof HTMLTextAreaElement || (box instanceof HTMLInputElement && box.type === "text"))
    && box.value !== "" && box.value !== box.defaultValue);
}

/**
 * A form that was filled in again as it was kept is that entry: it takes its key.
 * @param {Store} store @param {HTMLFormElement} form @param {HTMLElement | null} button
 */
export async function takeKeyAgain(store, form, button) {
  const key = hidden(form, "form_key");
  if (!key || !isRestored(form)) return;
  const same = await sameBefore(store, form, button);
  if (!same) return;
  key.dataset.first ??= key.value;
  key.value = same.key;
}

/**
 * Whether the same was kept on this phone a short while ago, on another page or in another tab.
 * @param {Store} store @param {HTMLFormElement} form @param {HTMLElement | null} button
 * @returns {Promise<Doubt | null>}
 */
export async function sameDoubt(store, form, button) {
  // A weighing is asked about by its weights; a tap on what became of the fire counts at once.
  if (NEW_TICKET.test(target(form, button)) || !form.matches(".sheet") || form.querySelector('[data-doubt="said"][name="again"]')) return null;
  if (button instanceof HTMLButtonElement && button.name === "remark") return null;
  const same = await sameBefore(store, form, button);
  if (!same || same.key === hidden(form, "form_key")?.value) return null;
  const seconds = Math.max(0, Math.round(Date.now() / 1000 - same.tapped));
  if (same.target.endsWith("/readings") && seconds > READ_AGAIN_S) return null;
  const ago = seconds < 90 ? "a moment ago" : `${Math.round(seconds / 60)} min ago`;
  return { words: `The same was kept on this phone ${ago}: ${same.what}.`, box: "form_key", yes: ["again", "yes"] };
}
