// The phone's own store: entries that wait to be sent, and a few facts. Holds no rule of when to send.

import { openDB } from "./idb.js";

/**
 * An entry as it was tapped.
 * @typedef {object} Entry
 * @property {number} [n] its place in the order of taps
 * @property {string} key the key of its form: sent twice, done once
 * @property {string} target the address it goes to
 * @property {[string, string][]} boxes what was typed
 * @property {string} what what it is, in words
 * @property {string} by the member who tapped
 * @property {string} byName that member's name
 * @property {number} tapped when, by this phone's clock, seconds since 1970
 * @property {number | null} ahead how far that clock was ahead of the mill's at the last contact, seconds
 * @property {"waits" | "needs"} state waits to be sent, or came back and needs somebody
 * @property {string} answer the page it came back with
 * @property {number} status the status it came back with
 * @property {number} tries how often the mill failed at it
 * @property {string} [page] the page it was tapped on, when it can be changed there
 * @property {string} [whose] whose cane a new ticket is, by name
 * @property {boolean} [went] it was on its way and no answer came: the mill may have it
 * @property {number} [sent] when the mill took it, ms since 1970 by this phone's clock: it is a fact then, and waits no more
 * @property {number} [held] it is being changed and not sent before then, ms since 1970 by this phone's clock
 */

/**
 * What a sender and a page need of a store.
 * @typedef {object} Store
 * @property {(entry: Entry) => Promise<void>} put keeps an entry; one of the same key is replaced in its place
 * @property {(key: string) => Promise<Entry | undefined>} get
 * @property {() => Promise<Entry[]>} all entries in the order of their taps
 * @property {(key: string, part: Partial<Entry> | null, may?: (now: Entry) => boolean) => Promise<Entry | undefined>} change
 * changes a part of an entry as it stands, or drops it (null), in one step; gives it as it is then, nothing when it is not
 * there or may not be changed
 * @property {(key: string) => Promise<void>} drop
 * @property {(name: string) => Promise<any>} fact
 * @property {(name: string, value: any) => Promise<void>} note
 */

/**
 * Opens the store.
 * @returns {Promise<Store>}
 */
export async function openStore() {
  const db = await openDB("canewright", 1, {
    upgrade(/** @type {any} */ made) {
      made.createObjectStore("entries", { keyPath: "n", autoIncrement: true }).createIndex("key", "key", { unique: true });
      made.createObjectStore("facts");
    },
    // A newer page wants to change the store: this one lets go.
    blocking() { db.close(); },
  });
  return {
    async put(entry) {
      // On disk before the tap counts as kept: a phone may lose power the next moment.
      const tx = db.transaction("entries", "readwrite", { durability: "strict" });
      const n = await tx.store.index("key").getKey(entry.key);
      const { n: _, ...rest } = entry;
      await tx.store.put(n === undefined ? rest : { ...rest, n });
      await tx.done;
    },
    get: (key) => db.getFromIndex("entries", "key", key),
    all: () => db.getAll("entries"),
    async change(key, part, may = () => true) {
      const tx = db.transaction("entries", "readwrite", { durability: "strict" });
      const stands = await tx.store.index("key").get(key);
      const changed = stands && may(stands) ? { ...stands, ...part } : undefined;
      if (changed && part) await tx.store.put(changed);
      else if (changed) await tx.store.delete(changed.n);
      await tx.done;
      return changed;
    },
    async drop(key) {
      const n = await db.getKeyFromIndex("entries", "key", key);
      if (n !== undefined) await db.delete("entries", n);
    },
    fact: (name) => db.get("facts", name),
    async note(name, value) { await db.put("facts", value, name); },
  };
}

/**
 * A new id: UUID version 7 (RFC 9562), made without the mill.
 * @param {number} ms milliseconds since 1970
 */
export function newKey(ms) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let n = 5, left = ms; n >= 0; n -= 1, left = Math.floor(left / 256)) bytes[n] = left % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
