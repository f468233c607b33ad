// Walks the site's own links from a start, breadth first, and keeps one example of each kind of page.

/** Pages read of one route at most: enough to meet its states. */
const OF_A_ROUTE = 12;

/** The route an address belongs to: ids, dates, lots and numbers blotted out. */
export function pattern(path) {
  return path
    .replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, '{id}')
    .replace(/\d{4}-\d{2}-\d{2}/g, '{date}')
    .replace(/\/(boils|L|l)\/[0-9A-Z]{2,}-?[0-9A-Z]+/g, '/$1/{lot}')
    .replace(/\/\d+(?=\/|$)/g, '/{number}')
    .replace(/=[^&]+/g, '=…');
}

/** The kind of a page: its route and the headings and forms on it, so that states are told apart. */
function kind(route, html) {
  const headings = [...html.matchAll(/<h2[^>]*>([^<]*)/g)].map((found) => found[1]);
  const forms = [...html.matchAll(/<form[^>]*action="([^"]*)"/g)].map((found) => pattern(found[1]));
  const known = (list) => [...new Set(list)].sort().join('|');
  return route.includes('?') ? route : `${route}#${known(headings.map((h) => h.replace(/\d.*/, '')))}#${known(forms)}`;
}

/** Addresses that a page leads to: its links, and its forms of questions as they stand. */
function leads(page, html, at) {
  return page.evaluate(([text, base]) => {
    const there = new DOMParser().parseFromString(text, 'text/html');
    const links = [...there.querySelectorAll('a[href]')].map((link) => link.getAttribute('href'));
    const asked = [...there.querySelectorAll('form[method=get]')].map(
      (form) => `${form.getAttribute('action')}?${new URLSearchParams(new FormData(form))}`);
    return [...links, ...asked].map((href) => new URL(href, base))
      .filter((url) => url.origin === new URL(base).origin)
      .map((url) => url.pathname + url.search);
  }, [html, at]);
}

/**
 * Paths of one page of every kind that the signed-in `page` reaches from `from`. Kinds that are in
 * `known` already are walked through but not given again; new ones are added to it. A question
 * asked with empty boxes may be answered 422; any other link must lead to a page.
 */
export async function crawl(page, known = new Map(), from = ['/']) {
  const waiting = from.map((path) => [path, 'the start']);
  const seen = new Set(from);
  const routes = new Map();
  const found = [];
  while (waiting.length > 0) {
    const [path, linked] = waiting.shift();
    const route = pattern(path);
    const met = (routes.get(route) ?? 0) + 1;
    if (met > OF_A_ROUTE) continue;
    routes.set(route, met);
    const answer = await page.request.get(path);
    const asked = answer.status() === 422 && path.includes('?');
    if (answer.status() !== 200 && !asked) throw new Error(`${linked} links to ${path}, which answers ${answer.status()}`);
    if (!(answer.headers()['content-type'] ?? '').startsWith('text/html')) continue;
    const html = await answer.text();
    const key = kind(route, html);
    if (!known.has(key)) {
      known.set(key, path);
      found.push(path);
    }
    for (const next of await leads(page, html, answer.url())) {
      if (!seen.has(next)) {
        seen.add(next);
        waiting.push([next, path]);
      }
    }
  }
  return found;
}
