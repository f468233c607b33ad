// Every page of a member: the own pages looked at are kept on this phone, and those that home leads to beforehand, so
// that the turn and the last state of the cane can be read without network. The pages work without this.

import "./look.js";
import { keepPages } from "./kept-pages.js";

/** For how long the pages that home leads to count as seen, ms. */
const SEEN_MS = 10 * 60_000;

/** What home says is under way: turns, tickets, boils. */
function underWay() {
  const links = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll("section.now a"));
  return [...new Set([...links].map((link) => new URL(link.href).pathname))];
}

/** Whether home's pages are to be kept anew. */
function due() {
  const last = Number(sessionStorage.getItem("kept-mine") ?? 0);
  if (Date.now() - last < SEEN_MS) return false;
  sessionStorage.setItem("kept-mine", String(Date.now()));
  return true;
}

async function start() {
  if (!isSecureContext || !("serviceWorker" in navigator) || document.body.dataset.seen) return;
  const before = navigator.serviceWorker.controller;
  await navigator.serviceWorker.register("/yard-worker.js", { type: "module" });
  // Nothing is kept before there is a worker that forgets it when the session has ended.
  await navigator.serviceWorker.ready;
  // The first page was opened before there was a worker to keep it.
  if (!before) await keepPages([location.pathname + location.search]);
  if (location.pathname === "/" && due()) await keepPages(underWay());
}

start().catch(() => {
  // A browser that lets nothing be kept shows the pages all the same.
});
