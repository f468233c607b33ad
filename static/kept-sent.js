// What this phone sent a short while ago, kept as facts: a page that was kept before cannot know it, and without network it
// would list a turn as still to come that is weighed and at the mill.

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/** What later pages without network must know of: tickets, juice in vessels, finishes, jars handed over. */
const MATTERS = [/^\/days\/[\d-]+\/tickets\/new$/, /^\/tickets\/[^/]+\/juice\/new$/, /^\/boils\/[^/]+\/finish$/, /^\/members\/[^/]+\/hand-over$/,
  /^\/tickets\/[^/]+\/(move|loads\/new|unpressed)$/];
/** For how long it is kept, ms: a press day. */
const KEPT_MS = 16 * 3_600_000;
/** And so many at most. */
const MOST = 160;
/** Of whatever kind, so many of the last are known, so that the same is not sent twice: see kept-once.js. */
const MOST_GONE = 30;

/** What an entry of a kind is for, and what was measured: the turn and its gross, the vessel of a ticket's juice and how much. @type {[RegExp, string, string][]} */
const FOR = [[/^\/days\/[\d-]+\/tickets\/new$/, "whose", "gross"], [/^\/tickets\/[^/]+\/juice\/new$/, "vessel", "amount"]];

/**
 * Whether an entry is what another was meant to be, typed anew: the same turn, or juice of the same ticket in the same vessel, and the
 * same figure but for its point. Another figure may be another load, which nobody else has.
 * @param {Entry} entry @param {Entry} other
 */
export function isTypedAnew(entry, other) {
  const [, whose, what] = FOR.find(([kind]) => kind.test(entry.target)) ?? [];
  if (!whose || !what || entry.key === other.key || entry.target !== other.target || entry.by !== other.by) return false;
  const of = (/** @type {Entry} */ one, /** @type {string} */ box) => one.boxes.find(([name]) => name === box)?.[1].trim() ?? "";
  const digits = (/** @type {Entry} */ one) => of(one, what).replace(/\D/g, "").replace(/^0+|0+$/g, "");
  return of(entry, whose) !== "" && of(entry, whose) === of(other, whose) && digits(entry) !== "" && digits(entry) === digits(other);
}

/** What stands at the mill since, of the same thing: the kind, the box that names it where the address does not, and the words. @type {[RegExp, string, string][]} */
const SINCE = [
  [/^\/days\/[\d-]+\/tickets\/new$/, "whose", "Weighed in since"],
  [/^\/tickets\/[^/]+\/juice\/new$/, "", "Measured since"],
  [/^\/boils\/[^/]+\/finish$/, "", "Finished since"],
];

/**
 * What this phone sent of the same turn, of the juice of the same ticket, or of the same finish, after an entry that came back.
 * @param {Entry} entry @param {Entry[]} sent
 * @returns {{ words: string, entry: Entry, href: string } | null}
 */
export function sinceOf(entry, sent) {
  const [, box = "", words = ""] = SINCE.find(([kind]) => kind.test(entry.target)) ?? [];
  const of = (/** @type {Entry} */ one) => (box === "" ? "all" : one.boxes.find(([name]) => name === box)?.[1].trim() ?? "");
  if (entry.state !== "needs" || words === "" || of(entry) === "") return null;
  const since = sent.findLast((one) => one.key !== entry.key && one.target === entry.target && one.tapped >= entry.tapped && of(one) === of(entry));
  if (!since) return null;
  const href = box === "" ? since.target.replace(/\/(juice\/new|finish)$/, "") : `/tickets/${since.key}`;
  return { words, entry: since, href };
}

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
