// Pages of the yard as they were last seen, for when there is no network. Used by pages and by the worker.

/** The cache that holds pages; emptied whenever somebody signs in or out. */
export const PAGES = "canewright-pages";

/** Addresses of the yard: the day, weigh-in, juice, boils, fills, hand-over. */
const YARD = [
  /^\/$/,
  /^\/days\/[\d-]+(\/(tickets\/new|juice\/new|morning|plan|boils\/new))?$/,
  /^\/tickets\/[^/]+(\/((juice|loads)\/new|move|unpressed|sample))?$/,
  /^\/juices\/[^/]+(\/lost)?$/,
  /^\/boils(\/[^/]+)?$/,
  /^\/hand-overs$/,
  /^\/members\/[^/]+\/hand-over$/,
];

/** Juice of a ticket, by the ticket's id. */
const JUICE = /^\/tickets\/([0-9a-f-]{36})\/juice\/new$/;
/** The page of the juice of a ticket that the mill does not know yet, and the id that stands in it. */
const ANY_JUICE = /^\/days\/[\d-]+\/juice\/new$/;
const NO_TICKET = "00000000-0000-0000-0000-000000000000";

/** @param {string} path */
export const isYard = (path) => YARD.some((kind) => kind.test(path));

/**
 * Keeps an answer, if it is a page of the yard that was meant for whoever is signed in.
 * @param {string} path with what follows the question mark
 * @param {Response} answer whose body nobody has read
 */
export async function keepPage(path, answer) {
  const html = answer.headers.get("content-type")?.startsWith("text/html");
  if (answer.status !== 200 || answer.redirected || answer.type !== "basic" || !html) return;
  const text = await answer.text();
  // A page without the line is nobody's of the crew: before signing in, or of another role.
  if (!text.includes('id="kept"')) return;
  const headers = new Headers(answer.headers);
  headers.set("kept-at", String(Math.floor(Date.now() / 1000)));
  for (const name of ["content-encoding", "content-length"]) headers.delete(name);
  await (await caches.open(PAGES)).put(path, new Response(text, { headers }));
}

/** Forgets every page: they were for whoever was signed in. */
export const forgetPages = () => caches.delete(PAGES);

/**
 * A page as it was last seen, which says so; nothing when it never was.
 * @param {URL} url
 * @returns {Promise<Response | undefined>}
 */
export async function pageAsSeen(url) {
  const cache = await caches.open(PAGES);
  const path = url.pathname + url.search;
  let found = (await cache.match(path)) ?? (await cache.match(path, { ignoreSearch: true }));
  let text = await found?.text();
  if (text === undefined) {
    const ticket = url.pathname.match(JUICE)?.[1];
    const any = ticket && (await cache.keys()).find((one) => ANY_JUICE.test(new URL(one.url).pathname));
    if (!any) return undefined;
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
 */
export async function keepPages(paths) {
  for (const path of paths) {
    try {
      await keepPage(path, await fetch(path, { cache: "no-store", headers: { "kept-page": "yes" } }));
    } catch {
      return; // the network has gone: what is kept is kept
    }
  }
}
