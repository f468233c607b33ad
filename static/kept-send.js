// The sender: entries go out one by one in the order of their taps, each until the mill has answered it. Runs in
// a page, in the worker, and in tests; knows neither.

import { isTypedAnew, noteSent } from "./kept-sent.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */

/**
 * What the mill's clock reads and whose session asks.
 * @typedef {{ at: number, member: string | null, name: string | null }} Here
 */

/**
 * An answer of the mill; nothing when none came.
 * @typedef {{ status: number, to: string, page: string } | null} Answer
 */

/**
 * The way to the mill.
 * @typedef {object} Net
 * @property {() => Promise<Here | null>} ask
 * @property {(entry: Entry) => Promise<Answer>} post
 * @property {() => number} clock this phone's clock, milliseconds since 1970
 */

/**
 * How a run ended: everything of this person went, or what keeps the rest. "stuck": it hangs on what needs somebody first.
 * @typedef {"done" | "no network" | "signed out" | "stuck" | "later"} Ending
 */

/** Answers that say that the entry itself is wanting: it needs somebody. */
const NEEDS = [400, 403, 404, 405, 409, 410, 413, 415, 422];
/** After so many failures of the mill itself an entry needs somebody, and the next goes on. */
const TRIES = 3;

/**
 * Lets a change of the store fail: a phone that is full still sends, and what could not be noted is done again.
 * @param {Promise<unknown>} change
 */
const ifRoom = (change) => change.then(() => {}, () => {});

/**
 * Asks the mill's clock, and notes how far this phone's is ahead of it, seconds.
 * @param {Store} store @param {Net} net
 * @returns {Promise<(Here & { ahead: number }) | null>}
 */
export async function contact(store, net) {
  const before = net.clock();
  const here = await net.ask();
  if (!here) return null;
  const middle = (before + net.clock()) / 2 / 1000;
  // The mill tells whole seconds: half of one on average is left off.
  const ahead = Math.round(middle - here.at - 0.5);
  await ifRoom(store.note("ahead", ahead));
  return { ...here, ahead };
}

/**
 * Whether an entry hangs on another: its address or a box names what that one makes, or it is jars of the boil that
 * that one finishes.
 * @param {Entry} entry @param {Entry} on
 */
export function hangsOn(entry, on) {
  if (entry.target.includes(on.key) || entry.boxes.some(([, value]) => value.includes(on.key))) return true;
  const finish = on.target.endsWith("/finish") && on.boxes.some(([name, value]) => name === "finish_why" && value === "");
  return finish && entry.target === on.target.replace(/finish$/, "fills");
}

/** Whether an entry may go now. @param {Entry} entry @param {string | null} member who is signed in @param {Net} net */
const goes = (entry, member, net) => entry.state === "waits" && entry.by === member && (entry.held ?? 0) <= net.clock();

/**
 * Sends what waits.
 * @param {Store} store @param {Net} net
 * @param {(entry: Entry, answer: NonNullable<Answer>) => void} [told] told of each answer that settles an entry
 * @returns {Promise<Ending>}
 */
export async function send(store, net, told = () => {}) {
  const here = await contact(store, net);
  if (!here) return "no network";
  /** What has not gone, of those before. @type {Entry[]} */
  const open = [];
  /** What was not even tried, since it hangs on one of those. @type {Set<string>} */
  const hanging = new Set();
  for (const found of await store.all()) {
    const hangs = open.some((before) => hangsOn(found, before));
    if (hangs) hanging.add(found.key);
    if (hangs || !goes(found, here.member, net)) {
      open.push(found);
      continue;
    }
    // Noted before it goes: what may have arrived is not taken back. On a phone that is full it goes all the same.
    const entry = await store.change(found.key, { went: true }, (now) => goes(now, here.member, net)).catch(() => found);
    if (!entry) {
      open.push(found);
      continue;
    }
    entry.ahead ??= here.ahead;
    const answer = await net.post(entry);
    if (!answer) return "no network";
    if (answer.status === 401) {
      if (!found.went) await ifRoom(store.change(entry.key, { went: false }));
      return "signed out";
    }
    if (answer.status === 201) {
      await ifRoom(noteSent(store, entry, net.clock()));
      // Mended on a page while it was on its way: the mill has to see that too.
      if (await asSent(store, entry)) await ifRoom(store.drop(entry.key));
      await ifRoom(dropBefore(store, entry));
      told(entry, answer);
    } else if (NEEDS.includes(answer.status)) {
      await back(store, entry, answer);
      open.push(entry);
      told(entry, answer);
    } else if (answer.status === 500) {
      entry.tries += 1;
      if (entry.tries >= TRIES) await back(store, entry, answer);
      else await ifRoom(store.put(entry));
      open.push(entry);
    } else {
      // Somebody between here and the mill, or a mill that is just starting.
      return "later";
    }
  }
  const waits = (await store.all()).filter((entry) => entry.state === "waits" && entry.by === here.member);
  if (waits.length > 0) return waits.every((entry) => hanging.has(entry.key)) ? "stuck" : "later";
  return here.member === null ? "signed out" : "done";
}

/** Drops what came back before and was typed anew since, and is stored: unless something hangs on it. @param {Store} store @param {Entry} entry */
async function dropBefore(store, entry) {
  const all = await store.all();
  for (const before of all) {
    const over = before.state === "needs" && before.tapped <= entry.tapped && isTypedAnew(entry, before);
    if (over && !all.some((other) => other.key !== before.key && hangsOn(other, before))) await store.drop(before.key);
  }
}

/** @param {Store} store @param {Entry} entry @param {NonNullable<Answer>} answer */
async function back(store, entry, answer) {
  if (!await asSent(store, entry)) return;
  const needs = /** @type {const} */ ({ ...entry, state: "needs", status: answer.status, went: false });
  // Without room for the page that came back, it stands without: it is asked for again when somebody looks.
  await store.put({ ...needs, answer: answer.page }).catch(() => ifRoom(store.put({ ...needs, answer: "" })));
}

/** Whether an entry still stands in the store as it was sent. @param {Store} store @param {Entry} entry */
async function asSent(store, entry) {
  const now = await store.get(entry.key);
  return now !== undefined && JSON.stringify(now.boxes) === JSON.stringify(entry.boxes);
}

/** How long an answer is waited for, ms: longer than any page takes, shorter than a hand's patience. */
const ANSWER_MS = 20_000;

/**
 * The way to the mill by `fetch`, of this origin or of `base`.
 * @param {string} [base] @param {Record<string, string>} [more] more headers, where no browser adds its own
 * @returns {Net}
 */
export function byFetch(base = "", more = {}) {
  /** @param {string} path @param {RequestInit} init */
  const ask = async (path, init) => {
    try {
      const answer = await fetch(base + path, { ...init, redirect: "manual", cache: "no-store", signal: AbortSignal.timeout?.(ANSWER_MS) });
      return { status: answer.status, to: answer.headers.get("location") ?? "", page: await answer.text() };
    } catch {
      return null;
    }
  };
  return {
    clock: Date.now,
    async ask() {
      const answer = await ask("/clock", { headers: more });
      if (!answer || answer.status !== 200) return null;
      try {
        const here = JSON.parse(answer.page);
        return typeof here.at === "number" ? here : null;
      } catch {
        return null; // a sign-in page of somebody else's network
      }
    },
    post(entry) {
      const body = new URLSearchParams([...entry.boxes, ["form_key", entry.key]]);
      /** @type {Record<string, string>} */
      const headers = { ...more, "kept-by": entry.by, "kept-tapped": String(entry.tapped) };
      if (entry.ahead !== null) headers["kept-ahead"] = String(entry.ahead);
      return ask(entry.target, { method: "POST", body, headers });
    },
  };
}

/**
 * Sends, unless another page or the worker does so already: one sender at a time keeps the order.
 * @param {Store} store @param {Net} net @param {Parameters<typeof send>[2]} [told]
 * @returns {Promise<Ending>}
 */
export async function sendAlone(store, net, told) {
  return await navigator.locks.request("canewright-send", () => send(store, net, told));
}
