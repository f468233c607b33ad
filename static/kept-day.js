// The pages of a press day, kept beforehand by the worker: a page that is left before all of them are there ends nothing,
// and what is left is fetched at the next look.

import { keepPages, LEFT } from "./kept-pages.js";

/** For how long the day's pages count as seen, ms. */
const SEEN_MS = 10 * 60_000;
/** Under which name the cache holds what is left. */
const NOTE = "/left";

/**
 * What is left to be kept of a day.
 * @typedef {object} Left
 * @property {string} day its address
 * @property {number} at when the list of its pages was fetched, ms since 1970
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
 * Keeps the pages of a day, after what is under way; those that were fetched a short while ago are not fetched again.
 * @param {string} day its address; empty: goes on where it stopped
 * @param {() => boolean} same whether the same person is signed in still
 */
export function keepDay(day, same) {
  run = run.then(() => keep(day, same)).catch(() => {});
  return run;
}

/** @param {string} day @param {() => boolean} same */
async function keep(day, same) {
  let left = await read();
  if (day !== "" && (left?.day !== day || Math.abs(Date.now() - left.at) > SEEN_MS)) {
    const paths = await listed(day);
    if (!paths || !same()) return;
    left = { day, at: Date.now(), paths };
    await note(left);
  }
  const now = left;
  if (!now) return;
  await keepPages(now.paths, same, async (path) => {
    now.paths = now.paths.filter((one) => one !== path);
    if (same()) await note(now);
  });
}
