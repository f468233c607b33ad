// The worker of the yard's pages and of members' own: serves them as last seen when the network is gone, and sends what waits when the
// browser says that it is back. The address stays, the content changes with every file that it keeps.

import { keepDay } from "./kept-day.js";
import { forgetMine, forgetPages, isKept, keepPage, MINE, OF_TICKET, pageAsSeen, PAGES } from "./kept-pages.js";
import { byFetch, sendAlone } from "./kept-send.js";
import { forgetSent } from "./kept-sent.js";
import { openStore } from "./kept-store.js";

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

/** Style sheets, scripts and the icon, by their hashed names: filled in by the server. @type {string[]} */
const FILES = JSON.parse("[]");
const KEPT_FILES = "canewright-files";
/** How long the network may take when the page was seen before, ms. */
const PATIENCE_MS = 3000;
/** Counts the forms and pages after which another person may be signed in: a page that comes late is not kept for the next one. */
let person = 0;
/** Those forms. */
const OTHER_PERSON = /^\/(sign-in|sign-out|set-up|join\/.*)$/;

worker.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(KEPT_FILES);
    await cache.addAll(FILES);
    await worker.skipWaiting();
  })());
});

worker.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(KEPT_FILES);
    const old = (await cache.keys()).filter((file) => !FILES.includes(new URL(file.url).pathname));
    // Pages kept may still name the files before these: they go when the pages are seen anew.
    if (old.length > 4 * FILES.length) await Promise.all(old.map((file) => cache.delete(file)));
    await worker.clients.claim();
  })());
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== worker.location.origin) return;
  if (request.method === "POST" && OTHER_PERSON.test(url.pathname)) {
    event.respondWith(otherPerson(request, url.pathname));
  } else if (request.method === "POST" && request.mode === "navigate") {
    event.respondWith(fetch(request).catch(() => notSent(url.pathname)));
  } else if (request.method === "GET" && url.pathname.startsWith("/static/")) {
    event.respondWith(file(request));
  } else if (request.method === "GET" && request.mode === "navigate") {
    event.respondWith(page(event, url));
  }
});

/**
 * A form after which another person may be signed in: the pages of the one before are forgotten once the mill has answered.
 * Without network nothing has changed, and they are still needed.
 * @param {Request} request @param {string} path
 */
async function otherPerson(request, path) {
  person += 1;
  try {
    const answer = await fetch(request);
    // A proxy in front of a mill that is down answers for it.
    if (answer.status < 502) await Promise.all([forgetPages(), openStore().then(forgetSent)]).catch(() => {});
    return answer;
  } catch {
    return notSent(path);
  }
}

/** A file that carries its hash in its name: what is kept is right. @param {Request} request */
async function file(request) {
  return (await caches.match(request, { cacheName: KEPT_FILES })) ?? fetch(request);
}

/** A page: from the network, unless that takes too long and the page was seen before. @param {FetchEvent} event @param {URL} url */
async function page(event, url) {
  const asked = network(event, url);
  event.waitUntil(asked.then(() => {}, () => {}));
  const seen = isKept(url.pathname) ? await pageAsSeen(url) : undefined;
  const slow = new Promise((_, reject) => { setTimeout(reject, PATIENCE_MS, "slow"); });
  try {
    const answer = await (seen ? Promise.race([asked, slow]) : asked);
    // A proxy in front of a mill that is down answers for it.
    if (seen && answer.status >= 502) return seen;
    return answer.status === 404 ? ((await ofWaiting(event, url)) ?? answer) : answer;
  } catch {
    return seen ?? (await nothingSeen(url.pathname));
  }
}

/**
 * The page of a ticket that the mill does not know yet, since it waits on this phone: it is sent first. Where it cannot go now, the page
 * is as it would be without network. Nothing: no such ticket waits.
 * @param {FetchEvent} event @param {URL} url
 */
async function ofWaiting(event, url) {
  const ticket = url.pathname.match(OF_TICKET)?.[1];
  const store = ticket ? await openStore().catch(() => null) : null;
  if (!ticket || !store) return undefined;
  if (await store.get(ticket)) {
    const sent = sendWaiting().then(({ kept }) => { event.waitUntil(kept); }).catch(() => {});
    event.waitUntil(sent);
    await Promise.race([sent, new Promise((late) => { setTimeout(late, PATIENCE_MS); })]);
  }
  if (await store.get(ticket)) return pageAsSeen(url);
  // It has gone, perhaps while its page was asked for.
  const again = await fetch(event.request).catch(() => undefined);
  return again?.ok ? again : undefined;
}

/** Sends what waits, and has the pages of the day kept anew by what went. */
async function sendWaiting() {
  /** @type {string[]} */
  const sent = [];
  const ending = await sendAlone(await openStore(), byFetch(), (entry, answer) => { if (answer.status === 201) sent.push(entry.target); });
  new BroadcastChannel("canewright").postMessage("sent");
  const whose = person;
  // What the pages of the day say has changed by what was sent.
  const kept = sent.length > 0 ? keepDay("", () => whose === person, sent) : Promise.resolve();
  return { ending, kept };
}

/** The mill's own answer. It is kept beside, and shown also when the phone has no room for it. @param {FetchEvent} event @param {URL} url */
async function network(event, url) {
  const [whose, asked] = [person, Date.now()];
  const answer = await fetch(event.request);
  const same = () => whose === person;
  // A page with a figure to look at is of this moment only.
  const passing = url.pathname.startsWith("/boils/") && url.search !== "";
  if (isKept(url.pathname) && !passing) event.waitUntil(keepPage(url.pathname + url.search, answer.clone(), same, asked).catch(() => {}));
  // The mill asks who it is: a session that ran out or was ended elsewhere leaves nothing to read.
  else if (url.pathname === "/sign-in" && answer.ok) {
    // Nor is a page kept that is still on its way from before.
    person += 1;
    await forgetMine().catch(() => {});
    event.waitUntil(forgetLate().catch(() => {}));
  }
  return answer;
}

/** Forgets again what the page before wrote while it was being left, unless somebody signed in meanwhile. */
async function forgetLate() {
  const whose = person;
  for (const ms of [500, 2000, 5000]) {
    await new Promise((after) => { setTimeout(after, ms); });
    if (whose === person) await forgetMine();
  }
}

/** What cannot be done without network, and what can instead. @type {[RegExp, string][]} */
const NEEDS_NETWORK = [
  [/\/correct$/, "A correction needs the network, since it must show what stands at the mill. Note it on paper, and write it when there is network. What is not sent yet can be changed: tap “not sent yet” at the top of a page."],
  [/^\/station/, "Without network nobody can be picked by PIN. Go on to a page of the day: at its top you can say that somebody else stands here, and who it was is asked when there is network."],
];

/** What is said of a form that only the mill itself can take. @type {[RegExp, string][]} */
const NOT_SENT = [
  [/^\/sign-out$/, "Signing out needs the network, and the mill did not answer: you may be signed in still. The pages that this phone keeps are still here."],
  [OTHER_PERSON, "Signing in needs the network. Nothing was changed; try again when it is back."],
];

/** What is shown when there is neither network nor a page. @param {string} path */
async function nothingSeen(path) {
  const own = await mineKept();
  const typed = own.length > 0 ? "" : " What you typed on other pages is kept and goes by itself.";
  const instead = NEEDS_NETWORK.find(([which]) => which.test(path))?.[1];
  const ticket = path.match(/^\/tickets\/[0-9a-f-]{36}(?=$|\/)/)?.[0];
  const ways = ticket && (await openable(`${ticket}/juice/new`)) ? [[`${ticket}/juice/new`, "Measure the juice of this ticket"], [`${ticket}/loads/new`, "Weigh another load of it"]] : [];
  return noNetwork(instead ?? `This page was not opened on this phone before the network went.${typed}`, ways);
}

/** Whether a page opens without network. @param {string} path */
const openable = async (path) => (await pageAsSeen(new URL(path, worker.location.href))) !== undefined;

/** What is shown when a form did not reach the mill. @param {string} path */
const notSent = (path) => noNetwork(NOT_SENT.find(([which]) => which.test(path))?.[1]
  ?? "No answer came. What you sent may not have reached the mill, and this phone does not keep it. Go back and send it again when there is network: the same form is not taken twice.");

/** The addresses of a member's own pages that are kept. */
const mineKept = async () => (await (await caches.open(MINE)).keys()).map((one) => new URL(one.url).pathname);

/** A page that says so, with the ways to pages that are kept. @param {string} said @param {string[][]} [first] address and words of ways before those */
async function noNetwork(said, first = []) {
  const kept = (await (await caches.open(PAGES)).keys()).map((one) => new URL(one.url).pathname);
  const days = [...new Set(kept.filter((path) => /^\/(days\/[\d-]+)?$/.test(path)))];
  const ways = [...first, ...days.map((path) => [path, path === "/" ? "Home" : `Press day ${path.slice(6)}`])]
    .map(([path, words]) => `<li><a class="do plain" href="${path}">${words}</a></li>`);
  const css = FILES.find((name) => name.includes("/app-")) ?? "";
  if ((await mineKept()).includes("/")) ways.push('<li><a class="do plain" href="/">Home, as it was seen last</a></li>');
  const text = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>No network</title><link rel="stylesheet" href="${css}"></head><body><main id="main"><h1>No network</h1>
<p>${said}</p>
<ul class="ways">${ways.join("")}</ul></main></body></html>`;
  return new Response(text, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
}

// A page of the yard asks for the day's pages: the worker goes on though that page is left.
worker.addEventListener("message", (event) => {
  const { keepDay: day, sent } = event.data ?? {};
  if (typeof day !== "string" || !/^(\/days\/[\d-]+)?$/.test(day)) return;
  const whose = person;
  event.waitUntil(keepDay(day, () => whose === person, Array.isArray(sent) ? sent.map(String) : []));
});

worker.addEventListener("sync", (/** @type {any} */ event) => {
  if (event.tag !== "canewright-send") return;
  event.waitUntil((async () => {
    const { ending, kept } = await sendWaiting();
    event.waitUntil(kept);
    // The browser tries again later when this fails.
    if (ending === "no network" || ending === "later") throw new Error(ending);
  })());
});
