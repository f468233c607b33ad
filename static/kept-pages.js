// Pages of the yard, and a member's own pages, as they were last seen, for when there is no network. Used by pages and
// by the worker.

/** The cache that holds pages; emptied whenever somebody signs in or out. */
export const PAGES = "canewright-pages";

/** The cache of a member's own pages: gone with the session. */
export const MINE = "canewright-mine";
/** The cache of what is left to be kept of a day. */
export const LEFT = "canewright-left";
/** So many of a member's pages are kept: those looked at last. */
const MINE_MOST = 60;

/** Addresses of the yard: the day, weigh-in, juice, boils, fills, hand-over. */
const YARD = [
  /^\/$/,
  /^\/days\/[\d-]+(\/(paper\/[a-z]+|tickets\/new|juice\/new|loads\/new|morning|plan|boils\/new))?$/,
  /^\/tickets\/[^/]+(\/((juice|loads)\/new|move|unpressed|sample))?$/,
  /^\/juices\/[^/]+(\/lost)?$/,
  /^\/boils(\/[^/]+(\/jars)?)?$/,
  /^\/hand-overs$/,
  /^\/members\/[^/]+\/hand-over$/,
];

/** What a member reads of the own cane. */
const OWN = [
  /^\/$/,
  /^\/days\/[\d-]+(\/queue)?$/,
  /^\/(turns|waiting|tickets|juices|boils)\/[^/]+$/,
  /^\/boils\/[^/]+\/divide$/,
  /^\/members\/[^/]+\/(statement|season)\/\d+$/,
];

/** Juice or another load of a ticket, by the ticket's id. */
export const OF_TICKET = /^\/tickets\/([0-9a-f-]{36})\/(juice|loads)\/new$/;
/** The pages of both for a ticket that the mill does not know yet, and the id that stands in them. */
const ANY = /^\/days\/[\d-]+\/(juice|loads)\/new$/;
const NO_TICKET = "00000000-0000-0000-0000-000000000000";

/** @param {string} path */
export const isKept = (path) => YARD.some((kind) => kind.test(path)) || OWN.some((kind) => kind.test(path));

/**
 * Keeps an answer, if it is a page of the yard or a member's own that was meant for whoever is signed in.
 * @param {string} path with what follows the question mark
 * @param {Response} answer whose body nobody has read
 * @param {() => boolean} [same] whether the same person is signed in still
 * @param {number} [asked] when the mill was asked for it, ms since 1970: it knows nothing of what came to the mill after that
 */
export async function keepPage(path, answer, same = () => true, asked = Date.now()) {
  const html = answer.headers.get("content-type")?.startsWith("text/html");
  if (answer.status !== 200 || answer.redirected || answer.type !== "basic" || !html) return;
  const text = await answer.text();
  const mine = text.includes('id="mine"');
  // A page without either line is nobody's: before signing in.
  if (!mine && !text.includes('id="kept"')) return;
  const bare = path.split("?")[0] ?? "";
  if (!(mine ? OWN : YARD).some((kind) => kind.test(bare))) return;
  const headers = new Headers(answer.headers);
  headers.set("kept-at", (asked / 1000).toFixed(3));
  for (const name of ["content-encoding", "content-length"]) headers.delete(name);
  // Opening makes the store of pages anew, and nothing is to be left of whoever is not signed in any more.
  if (!same()) return;
  const cache = await caches.open(mine ? MINE : PAGES);
  if (!same()) return;
  // Put anew it stands last.
  if (mine) await cache.delete(path);
  await cache.put(path, new Response(text, { headers }));
  if (!mine) return;
  const all = await cache.keys();
  await Promise.all(all.slice(0, Math.max(0, all.length - MINE_MOST)).map((one) => cache.delete(one)));
}

/** Forgets every page: they were for whoever was signed in. */
export const forgetPages = () => Promise.all([caches.delete(PAGES), caches.delete(MINE), caches.delete(LEFT)]);

/** Forgets a member's own pages: nobody is signed in any more. */
export const forgetMine = () => caches.delete(MINE);

/**
 * A member's own page as it was last seen, with the line that says of when it is.
 * @param {string} path
 * @returns {Promise<Response | undefined>}
 */
async function mineAsSeen(path) {
  const found = await caches.match(path, { cacheName: MINE });
  if (!found) return undefined;
  const text = (await found.text()).replace(/(<p id="mine"[^>]*) hidden>/, "$1>");
  return new Response(text.replace("<body", '<body data-seen="mine"'), { headers: found.headers });
}

/**
 * A page as it was last seen, which says so; nothing when it never was.
 * @param {URL} url
 * @returns {Promise<Response | undefined>}
 */
export async function pageAsSeen(url) {
  const cache = await caches.open(PAGES);
  const path = url.pathname + url.search;
  const mine = await mineAsSeen(path);
  if (mine) return mine;
  // Never the page of another turn: the bare one has none chosen, and the page chooses the one of its address itself.
  let found = (await cache.match(path)) ?? (await cache.match(url.pathname));
  let text = await found?.text();
  if (text === undefined) {
    const [, ticket, what] = url.pathname.match(OF_TICKET) ?? [];
    const any = (await cache.keys()).findLast((one) => new URL(one.url).pathname.match(ANY)?.[1] === what);
    if (!ticket || !any) return undefined;
    found = await cache.match(any);
    text = (await found?.text())?.replaceAll(NO_TICKET, ticket);
  }
  if (!found || text === undefined) return undefined;
  const seen = found.headers.get("kept-at") ?? "0";
  return new Response(text.replace("<body", `<body data-seen="${seen}"`), { headers: found.headers });
}

/**
 * Keeps pages beforehand, one after the other.
 * @param {string[]} paths
 * @param {() => boolean} [same] whether the same person is signed in still
 * @param {(path: string) => Promise<unknown>} [kept] told of each that the mill answered
 */
export async function keepPages(paths, same = () => true, kept = async () => {}) {
  for (const path of paths) {
    if (!same()) return;
    try {
      const asked = Date.now();
      const answer = await fetch(path, { cache: "no-store", headers: { "kept-page": "yes" } });
      // A proxy in front of a mill that is down answers for it.
      if (answer.status >= 502) return;
      await keepPage(path, answer, same, asked);
      await kept(path);
    } catch {
      return; // the network has gone: what is kept is kept
    }
  }
}
