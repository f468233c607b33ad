// The pages of a press day, kept beforehand by the worker: a page that is left before all of them are there ends nothing,
// and what is left is fetched at the next look.

import { keepPages, LEFT } from "./kept-pages.js";

/** For how long the day's pages count as seen, ms. */
const SEEN_MS = 10 * 60_000;
/** How often it is asked, at most, on pages that are not the day's own, which tickets have come, ms. */
const LOOK_MS = 2 * 60_000;
/** Under which name the cache holds what is left. */
const NOTE = "/left";

/**
 * What is left to be kept of a day.
 * @typedef {object} Left
 * @property {string} day its address
 * @property {number} at when all of its pages were asked for last, ms since 1970
 * @property {number} looked when its pages were listed last, ms since 1970
 * @property {string[]} all its pages, as listed last
 * @property {string[]} paths those not kept yet, the first needed first
 */

/** @returns {Promise<Left | undefined>} */
async function read() {
  const found = await (await caches.open(LEFT)).match(NOTE);
  return found ? await found.json() : undefined;
}

/** @param {Left} left */
const note = async (left) => (await caches.open(LEFT)).put(NOTE, new Response(JSON.stringify(left)));

/** The list of a day's pages; nothing when there is no network. @param {string} day @returns {Promise<string[] | undefined>} */
async function listed(day) {
  try {
    const answer = await fetch(`${day}/pages`, { cache: "no-store" });
    return answer.ok ? await answer.json() : undefined;
  } catch {
    return undefined;
  }
}

/** The run that is under way. @type {Promise<void>} */
let run = Promise.resolve();

/**
 * Keeps the pages of a day, after what is under way; of those that were fetched a short while ago only the ones that are new, and
 * those that what was sent has changed.
 * @param {string} day its address; empty: goes on where it stopped
 * @param {() => boolean} same whether the same person is signed in still
 * @param {string[]} [sent] where forms were sent to just now
 */
export function keepDay(day, same, sent = []) {
  run = run.then(() => keep(day, same, sent)).catch(() => {});
  return run;
}

/** The first two parts of an address: "/tickets/…". @param {string} path */
const stem = (path) => path.split("/").slice(0, 3).join("/");

/** Whether a page shows something else once forms were sent. @param {string} path @param {string[]} sent */
function changed(path, sent) {
  const own = /^\/(tickets|juices|members)\//.test(path);
  return sent.length > 0 && (!own || sent.some((to) => stem(to) === stem(path)));
}

/** @param {string} day @param {() => boolean} same @param {string[]} sent */
async function keep(day, same, sent) {
  let left = await read();
  const of = day || left?.day;
  // Colleagues weigh in meanwhile: their tickets' pages are new.
  if (of && (day !== "" || sent.length > 0 || Date.now() - (left?.looked ?? 0) > LOOK_MS)) {
    const all = await listed(of);
    if (!same()) return;
    const before = left?.day === of ? left : undefined;
    if (!all && !before) return;
    const anew = !before || (day !== "" && Math.abs(Date.now() - before.at) > SEEN_MS);
    /** @param {string} path */
    const wanted = (path) => anew || before.paths.includes(path) || !(before.all ?? []).includes(path) || changed(path, sent);
    if (all) left = { day: of, at: anew ? Date.now() : before.at, looked: Date.now(), all, paths: all.filter(wanted) };
    if (left) await note(left);
  }
  const now = left;
  if (!now) return;
  await keepPages(now.paths, same, async (path) => {
    now.paths = now.paths.filter((one) => one !== path);
    if (same()) await note(now);
  });
}
