// What this phone sent a short while ago, kept as facts: a page that was kept before cannot know it, and without network it
// would list a turn as still to come that is weighed and at the mill.

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/** What later pages without network must know of: tickets, juice in vessels, finishes. */
const MATTERS = [/^\/days\/[\d-]+\/tickets\/new$/, /^\/tickets\/[^/]+\/juice\/new$/, /^\/boils\/[^/]+\/finish$/];
/** For how long it is kept, ms: a press day. */
const KEPT_MS = 16 * 3_600_000;
/** And so many at most. */
const MOST = 80;
/** Of whatever kind, so many of the last are known, so that the same is not sent twice: see kept-once.js. */
const MOST_GONE = 30;

/** @param {Store} store @returns {Promise<Entry[]>} what was sent, in the order it went */
export const allSent = async (store) => (await store.fact("sent")) ?? [];

/** Notes that the mill has taken an entry. @param {Store} store @param {Entry} entry @param {number} now ms since 1970, by this phone's clock */
export async function noteSent(store, entry, now) {
  const gone = /** @type {Entry[]} */ ((await store.fact("gone")) ?? []).filter((one) => one.key !== entry.key);
  await store.note("gone", [...gone, { ...entry, answer: "", sent: now }].slice(-MOST_GONE));
  if (!MATTERS.some((kind) => kind.test(entry.target))) return;
  const before = (await allSent(store)).filter((one) => one.key !== entry.key && Math.abs(now - (one.sent ?? 0)) < KEPT_MS);
  await store.note("sent", [...before, { ...entry, answer: "", sent: now }].slice(-MOST));
}

/** Forgets what was sent: the pages that could not know it are forgotten, too. @param {Store} store */
export const forgetSent = (store) => Promise.all([store.note("sent", []), store.note("gone", [])]);
