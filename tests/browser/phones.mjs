// Phones behind a bad line, for the tests of what is kept without network.

import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { PHONE, signIn } from './house.mjs';
import { wire } from './wire.mjs';

const lines = [];

/** A phone behind a line of its own, signed in as one of the crew. */
export async function phone(house, options = PHONE, name = 'delia') {
  const line = await wire(house.url);
  lines.push(line);
  const page = await signIn({ ...house, url: line.url }, name, options);
  const close = () => page.context().close();
  return { line, page, close };
}

/** One figure out of the mill's file. */
export function stands(house, sql, ...of) {
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const found = book.prepare(sql).get(...of);
  book.close();
  return Object.values(found)[0];
}

/** The code of the lot that was lit last and burns. */
export const litLot = (house) => stands(house, 'select lot_code from boils b where not exists (select 1 from finishes f where f.boil_id = b.id) order by lit_at desc limit 1');

/** Closes every line that was opened. */
export async function closeLines() {
  for (const line of lines.splice(0)) await line.close();
}

/** Cuts the line: nothing gets through. */
export const cut = (line) => { line.fate = () => 'cut'; };
/** Swallows everything: the phone waits for an answer that never comes. */
export const hung = (line) => { line.fate = () => 'hang'; };
export const mended = (line) => { line.fate = () => 'through'; };
/** Everything gets to the mill, and no answer to a form comes back. */
export const deaf = (line) => { line.fate = (method) => (method === 'POST' ? 'deaf' : 'through'); };

/** The press day of the demo, and where its cane is weighed in. */
export const DAY = '/days/2026-10-10';
export const NEW = `${DAY}/tickets/new`;

/** The browser tells the page that there is network again. */
export const online = (page) => page.evaluate(() => dispatchEvent(new Event('online')));
/** What a form asks or refuses. */
export const asked = (page) => page.locator('form .alarm[role=alert]');
/** What the page says of an entry that it has just kept. */
export const note = (page) => page.locator('#kept-note');
export const openTicket = (page) => page.getByRole('button', { name: 'Open the ticket' }).click();

/** What the line on the page says. */
export const status = (page) => page.locator('#kept').innerText();
export async function says(page, words) {
  try {
    await page.waitForFunction((source) => new RegExp(source).test(document.getElementById('kept')?.innerText ?? ''), words.source);
  } catch (error) {
    throw new Error(`the line does not say ${words}; it says: ${await status(page)}`, { cause: error });
  }
}

/** Waits until what the page answers in its own time is true: the browser's own wait takes a promise for a yes. */
export async function comes(page, asked, argument) {
  for (let tries = 0; tries < 480; tries += 1) {
    if (await page.evaluate(asked, argument)) return;
    await page.waitForTimeout(250);
  }
  throw new Error(`it does not come within two minutes: ${asked}`);
}

/** Opens the page of the demo's press day, and waits until every page of it is kept on the phone; gives their addresses. */
export async function keepDay(page) {
  await page.goto(DAY);
  await says(page, /All sent/);
  const list = await page.evaluate(async () => (await fetch('/days/2026-10-10/pages')).json());
  const kept = () => page.evaluate(async () => (await (await caches.open('canewright-pages')).keys()).length);
  for (let tries = 0; tries < 240 && await kept() < list.length; tries += 1) await page.waitForTimeout(250);
  const found = await kept();
  if (found < list.length) throw new Error(`${found} of ${list.length} pages are kept`);
  return list;
}

/** A phone that keeps the day's pages, with its line cut, on the page where cane is weighed in. */
export async function cutAtWeighIn(house, options, name) {
  const one = await phone(house, options, name);
  await keepDay(one.page);
  cut(one.line);
  await one.page.goto(NEW);
  await says(one.page, /as it was at/);
  return one;
}

/** What the phone keeps of what was tapped. */
export const entries = (page) => page.evaluate(() => new Promise((resolve) => {
  const open = indexedDB.open('canewright');
  open.onsuccess = () => {
    const all = open.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => { open.result.close(); resolve(all.result); };
  };
}));

/** The list behind the line, opened, and one entry of it. */
export async function listed(page, words) {
  const list = page.locator('#kept details');
  if (!await list.evaluate((one) => one.open)) await list.locator('summary').click();
  return list.getByRole('listitem').filter({ hasText: words });
}

/** Opens a page twice: from the second time on it is kept on the phone. */
export async function keep(page, path) {
  await page.goto(path);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.goto(path);
  await says(page, /All sent/);
}

/** Fills in a juice as a thumb does it, into the last vessel that is empty; gives that vessel's words. */
export async function measure(page, amount) {
  const vessels = page.getByRole('group', { name: 'Vessel' }).locator('label');
  const free = (await vessels.allInnerTexts()).filter((words) => words.endsWith(': empty')).at(-1);
  await vessels.getByText(free, { exact: true }).click();
  const next = page.getByRole('button', { name: 'Next' });
  // What the phone does not know from before is asked, too.
  for (const asked of ['How it was measured', 'Refractometer']) {
    if (await page.getByRole('group', { name: asked }).isVisible()) await next.click();
  }
  for (const [label, figure] of [['Juice, all of it', amount], ['Temperature, °F', '66'], ['Brix, first reading', '16.2'], ['Brix, second reading', '16.3']]) {
    await page.getByRole('textbox', { name: label }).fill(figure);
    await next.click();
  }
  await page.getByRole('button', { name: 'Write the juice down' }).click();
  return free.replace(/: empty$/, '');
}
