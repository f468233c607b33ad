// Ticket numbers that the mill has set aside for this phone: a ticket opened without network bears one of them at once.

import { isHere } from "./kept-change.js";
import { hidden } from "./kept-forms.js";
import { allSent } from "./kept-sent.js";
import { NEW_TICKET, typed } from "./kept-shown.js";
import { newKey } from "./kept-store.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/** How often numbers are asked for while enough are left, at most, ms. */
const NUMBERS_MS = 10 * 60_000;
/** So few are asked for at the next look. */
const FEW = 4;

/** The numbers that are left. @param {Store} store @param {string} day its address @returns {Promise<number[]>} */
const left = async (store, day) => (await store.fact(`numbers ${day}`)) ?? [];

/**
 * Has the mill set a few ticket numbers aside for this phone.
 * @param {Store} store @param {string} day its address @param {string} member who is signed in
 */
export async function holdNumbers(store, day, member) {
  const phone = (await store.fact("phone")) ?? newKey(Date.now());
  await store.note("phone", phone);
  const body = new URLSearchParams({ phone, form_key: newKey(Date.now()) });
  const headers = { "kept-by": member, "kept-tapped": String(Math.floor(Date.now() / 1000)) };
  const answer = await fetch(`${day}/numbers`, { method: "POST", body, headers });
  if (!answer.ok) return;
  /** @type {number[]} */
  const held = await answer.json();
  // What a ticket bears that waits here still is not given to a second one.
  const given = (await store.all()).filter((entry) => NEW_TICKET.test(entry.target)).map((entry) => typed(entry, "number"));
  await store.note(`numbers ${day}`, held.filter((number) => !given.includes(String(number))));
  await store.note(`asked ${day}`, Date.now());
}

/** Whether numbers are due to be asked for on the page of a day. @param {Store} store @param {string} day its address */
export async function wantsNumbers(store, day) {
  return (await left(store, day)).length < FEW || Date.now() - ((await store.fact(`asked ${day}`)) ?? 0) >= NUMBERS_MS;
}

/** The day whose ticket a form opens, by its address; nothing: it opens none, or bears a number already. @param {HTMLFormElement} form */
export function dayOfNew(form) {
  const day = new URL(form.action).pathname.match(NEW_TICKET)?.[1];
  return day && hidden(form, "number")?.value.trim() === "" ? `/days/${day}` : "";
}

/** What becomes of an entry that bears a number. @param {Entry} entry @param {string} number @returns {Pick<Entry, "boxes" | "what">} */
function withNumber(entry, number) {
  const [head = "", ...rest] = entry.what.split(" · ");
  const boxes = entry.boxes.map(([name, value]) => /** @type {[string, string]} */ ([name, name === "number" ? number : value]));
  return { boxes, what: [head, `ticket ${number}`, ...rest].join(" · ") };
}

/** The numbers of this phone that no ticket bears which it opened: one may have been typed by hand. @param {Store} store @param {string} day its address */
async function free(store, day) {
  const opened = [...(await store.all()), ...(await allSent(store))].filter((entry) => NEW_TICKET.test(entry.target));
  const borne = opened.map((entry) => typed(entry, "number"));
  return (await left(store, day)).filter((number) => !borne.includes(String(number)));
}

/**
 * Gives a new ticket one of this phone's numbers, if it certainly has not left this phone.
 * @param {Store} store @param {Entry} entry it bears the number then @param {string} day its address
 * @param {boolean} kept whether it stands in the store already
 * @returns {Promise<string>} what is to be said of it; nothing: there are more
 */
export async function giveNumber(store, entry, day, kept) {
  const none = "This phone has no ticket number left: the mill gives this ticket the next one. If its slip needs one now, write the next of the pad on it, and the same under “Change it”.";
  try {
    const now = kept ? await store.get(entry.key) : entry;
    if (!now || !isHere(now)) return "";
    const [number, ...rest] = await free(store, day);
    if (number === undefined) return none;
    // Crossed off first: a number that is given twice is worse than one that is given to nobody.
    await store.note(`numbers ${day}`, rest);
    const part = withNumber(entry, String(number));
    if (kept && !(await store.change(entry.key, part, isHere))) {
      await store.note(`numbers ${day}`, [number, ...rest]);
      return "";
    }
    Object.assign(entry, part);
    return rest.length > 0 ? "" : "That was the last ticket number of this phone: take the next from the pad until there is network.";
  } catch {
    // A number that cannot be crossed off would be given twice: the mill gives one.
    return none;
  }
}

/** Says in the form of a new ticket which phone sends it: the numbers that the mill has set aside for it are its own. @param {Store} store @param {HTMLFormElement} form */
export async function markPhone(store, form) {
  const phone = NEW_TICKET.test(new URL(form.action).pathname) && (await store.fact("phone"));
  if (!phone) return;
  const box = hidden(form, "of_phone") ?? form.appendChild(document.createElement("input"));
  [box.type, box.name, box.value] = ["hidden", "of_phone", phone];
}
