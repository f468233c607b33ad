// What waits is changed or taken back, as long as it certainly has not left this phone: never one that is being sent, nor one
// that went and whose answer was lost, since the mill may have it.

import { fillIn, keptForms, target } from "./kept-forms.js";
import { isKept } from "./kept-pages.js";
import { hanging, twinsOf } from "./kept-twin.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/** For how long an entry that is being changed is not sent, ms. */
const HELD_MS = 10 * 60_000;

/** Whether an entry certainly has not left this phone. @param {Entry} entry */
export const isHere = (entry) => entry.state === "waits" && !entry.went;

/** Whether the form of an entry opens without network. @param {Entry} entry */
export const opensAgain = (entry) => entry.page !== undefined && isKept(new URL(entry.page, location.href).pathname);

/** Why an entry can neither be changed nor taken back. @param {Store} store @param {Entry} entry */
const tooLate = async (store, entry) => (await store.get(entry.key)
  ? "It may have reached the mill: it can be put right once that is known."
  : "It has gone to the mill meanwhile: put it right there.");

/**
 * Takes an entry back: it is gone as if it had never been tapped.
 * @param {Store} store @param {Entry} entry
 * @returns {Promise<string>} what is to be said; nothing when it was done
 */
export async function takeBack(store, entry) {
  const [on] = await hanging(store, entry);
  if (on) return `Take this back first, which belongs to it: ${on.what}.`;
  return (await store.change(entry.key, null, isHere)) ? "" : tooLate(store, entry);
}

/**
 * Throws away an entry that came back, unless something hangs on it that would be lost with it.
 * @param {Store} store @param {Entry} entry
 * @returns {Promise<string>} what is to be said; nothing when it was done
 */
export async function throwAway(store, entry) {
  const [[on], [twin]] = [await hanging(store, entry), twinsOf(entry)];
  if (on) return `Not thrown away, since this belongs to it: ${on.what}. ${twin ? `Tap “${twin.words}”, and it goes there.` : "Mend it, or give that up first."}`;
  await store.drop(entry.key);
  return "";
}

/**
 * Opens the form of an entry again; until it is sent anew, or for ten minutes, it is not sent.
 * @param {Store} store @param {Entry} entry
 * @returns {Promise<string>} what is to be said; nothing when it was done
 */
export async function openAgain(store, entry) {
  const now = await store.change(entry.key, { held: Date.now() + HELD_MS }, isHere);
  if (!now) return tooLate(store, entry);
  const to = new URL(now.page ?? "/", location.href);
  to.hash = `change-${now.key}`;
  const same = to.pathname + to.search === location.pathname + location.search;
  location.assign(to);
  if (same) location.reload();
  return "";
}

/** Fills the form that is being changed. @param {Store} store */
export async function fillChanged(store) {
  const key = location.hash.match(/^#change-([0-9a-f-]{36})$/)?.[1];
  const entry = key ? await store.get(key) : undefined;
  const form = entry && [...keptForms()].find((one) => target(one, null) === entry.target);
  if (!entry || !form || !isHere(entry)) return;
  fillIn(form, entry);
  const note = document.createElement("p");
  [note.id, note.className, note.tabIndex] = ["kept-note", "note", -1];
  note.setAttribute("role", "status");
  note.textContent = "Change what is wrong, then send it again. It keeps the time of its first tap.";
  form.before(note);
  note.focus();
}

/** The page is done with what was changed. */
export function doneChanging() {
  if (location.hash.startsWith("#change-")) history.replaceState(null, "", location.pathname + location.search);
}
