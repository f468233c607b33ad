// What a page says of the entry that was just tapped on it, and what stands beside a tap that counts at once.

import { doneChanging } from "./kept-change.js";
import { forgetDoubts } from "./kept-doubts.js";
import { entryOf, freshKey, hidden, reason } from "./kept-forms.js";
import { noteTap } from "./kept-once.js";
import { toList, wayButtons } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/**
 * Says that an entry is kept, and makes the form ready for the next.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @param {Entry} entry @param {string} more what else is to be said
 */
export function sayKept(form, button, entry, more) {
  document.getElementById("kept-note")?.remove();
  const note = document.createElement("div");
  [note.id, note.className, note.tabIndex] = ["kept-note", "good", -1];
  [note.dataset.key, note.dataset.what] = [entry.key, entry.what];
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  words.textContent = `Kept on this phone: ${entry.what}. It goes to the mill by itself.`;
  note.append(words);
  if (more !== "") {
    const last = document.createElement("p");
    last.textContent = more;
    note.append(last);
  }
  // A ticket is known on this phone by its key before the mill knows it: its juice can be measured.
  note.append(wayButtons(entry, []));
  form.before(note);
  doneChanging();
  forgetDoubts(form);
  forgetAsked(form);
  form.reset();
  freshKey(form);
  noteTap(form, button, entry);
  // A button of its own is tapped once.
  if (!form.matches(".sheet")) form.hidden = true;
  // Number keys for a box that is empty now would push away what the figure has changed.
  form.dispatchEvent(new Event("kept", { bubbles: true }));
  note.focus();
}

/**
 * Takes away what the mill asked on a page that came back, once its answer is kept, and what it wrote into the boxes again: tapped
 * twice it would be a second entry.
 * @param {HTMLFormElement} form
 */
function forgetAsked(form) {
  const asked = form.querySelectorAll('.really, :scope > .alarm, .problem, button[name="sure"], input[type="hidden"][name="sure"]');
  // A page that was opened to be typed into has its boxes as they should be.
  if (asked.length === 0) return;
  for (const part of asked) part.remove();
  for (const box of form.elements) {
    box.removeAttribute("aria-invalid");
    if (box instanceof HTMLInputElement && box.type === "text" && box.name !== "number") box.defaultValue = "";
  }
}

/** Once an entry has gone, its note does not say any more that it goes. @param {Entry[]} waits */
export function sayWent(waits) {
  const note = document.getElementById("kept-note");
  const [words, key] = [note?.querySelector("p"), note?.dataset.key];
  const now = waits.find((entry) => entry.key === key);
  if (!words || key === undefined || now?.state === "waits") return;
  const says = now ? `It came back from the mill: ${note?.dataset.what}. ${reason(now)}` : `The mill has it: ${note?.dataset.what}.`;
  if (words.textContent === says) return;
  words.textContent = says;
  if (!note || !now) return;
  // What came back makes nothing that could be gone on with, and is no good news.
  note.className = "alarm";
  note.querySelector(".ways")?.remove();
  note.append(toList());
}

/** What is typed beside a tap on what became of the fire: the tap goes without it. @param {HTMLFormElement} form */
export const besideTap = (form) => ["temp", "brix"].flatMap((name) => {
  const box = hidden(form, name);
  return box && box.value !== "" ? [{ box, value: box.value }] : [];
});

/**
 * The entry of a tap on what became of the fire without the figures beside it, which have to be looked at first.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button @param {{ member: string, name: string }} who @param {ReturnType<typeof besideTap>} aside
 */
export function bareTap(form, button, who, aside) {
  for (const one of aside) one.box.value = "";
  const bare = entryOf(form, button, { ...who, ahead: null });
  for (const one of aside) one.box.value = one.value;
  return bare;
}
