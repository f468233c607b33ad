// A load or a turn that was weighed on two phones: what came back from the mill for it is led to the ticket that stands there,
// with all that this phone keeps for it.

import { hangsOn } from "./kept-send.js";
import { ticketOf } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/**
 * A way to the ticket at the mill.
 * @typedef {object} Twin
 * @property {string} id of the ticket
 * @property {string} words what the button says; its number stands last
 * @property {boolean} more what was weighed is another load of that ticket, not the same
 */

/** The way that a link stands for. @param {Element} link @returns {Twin} */
export const twinOf = (link) => ({ id: link.getAttribute("data-twin") ?? "", words: link.textContent?.trim() ?? "", more: link.hasAttribute("data-more") });

/** The ways that the mill offers for an entry that came back. @param {Entry} entry @returns {Twin[]} */
export const twinsOf = (entry) => [...new DOMParser().parseFromString(entry.answer, "text/html").querySelectorAll("a[data-twin]")].map(twinOf);

/** What hangs on an entry, on this phone. @param {Store} store @param {Entry} entry */
export const hanging = async (store, entry) => (await store.all()).filter((other) => other.key !== entry.key && hangsOn(other, entry));

/**
 * Leads an entry that came back, and all that hangs on it, to the ticket at the mill.
 * @param {Store} store @param {string} key @param {Twin} twin
 * @returns {Promise<boolean>} whether the phone kept that entry
 */
export async function leadTo(store, key, twin) {
  const entry = await store.get(key);
  if (!entry) return false;
  const number = twin.words.match(/\d+$/)?.[0] ?? "";
  const theirs = entry.whose ? `ticket ${number}, ${entry.whose}` : `ticket ${number}`;
  /** @type {Partial<Entry>} */
  const anew = { state: "waits", tries: 0, status: 0, answer: "" };
  const led = (/** @type {string} */ text) => text.replaceAll(key, twin.id);
  // What hangs on it first: should the phone lose power in between, it is there still and asks again.
  for (const other of await hanging(store, entry)) {
    await store.change(other.key, {
      ...(other.state === "needs" ? anew : {}),
      ...(other.page === undefined ? {} : { page: led(other.page) }),
      target: led(other.target),
      boxes: other.boxes.map(([name, value]) => [name, led(value)]),
      what: other.what.replace(ticketOf(entry), theirs),
    });
  }
  if (!twin.more) await store.drop(key);
  else {
    // The boxes of a load are those of a new ticket, and some more that a load has not.
    const [target, [, ...rest]] = [`/tickets/${twin.id}/loads/new`, entry.what.split(" · ")];
    await store.change(key, { ...anew, target, page: target, what: [`Load of ${theirs}`, ...rest.filter((part) => !/^ticket \d+$/.test(part))].join(" · ") });
  }
  return true;
}
