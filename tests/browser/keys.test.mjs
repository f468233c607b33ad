// The pages that came last, for whoever works by keys alone, at 200 %, or without scripts: every link and button is reached by Tab in
// the order of the page and stands in sight, nothing sticks out, and the page says the same. (pages.test.mjs looks over contrast, targets,
// 320 px and spacing of these and all others.)

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { crawl, pattern } from './crawl.mjs';
import { axe, DESK, PHONE, signIn, start, tap } from './house.mjs';
import { overflow } from './look.mjs';

/** A desk of 1280 by 900 pixels at 200 % (WCAG 1.4.10). */
const ZOOMED = { viewport: { width: 640, height: 450 }, deviceScaleFactor: 2 };
/** More presses of Tab than any of these pages has places. */
const PRESSES = 400;

const ROUTES = [
  '/members/{id}/season/{number}', '/members/{id}/household', '/members/{id}/days', '/seasons/{number}/possible-days',
  '/days/{date}/roster', '/days/{date}/hours', '/seasons/{number}/lock', '/mill/colours', '/jars', '/shelf', '/members/{id}/shelf',
  '/boils/{lot}/trace', '/tickets/{id}/trace', '/vessels/{id}/trace', '/recalls', '/recalls/new', '/recalls/{number}', '/help',
];

let house;
let found;
before(async () => {
  house = await start({ known: true });
  const page = await signIn(house, 'ruth', PHONE);
  await page.goto('/recalls/new?kind=load&which=1%2F1');
  await page.getByText('A drill, to practise').click();
  await page.getByLabel('Why').fill('Practice');
  await tap(page, 'button', 'Find every jar');
  // Two of each kind: a page may have several states.
  found = new Map(ROUTES.map((route) => [route, []]));
  for (const path of await crawl(page, new Map(), ['/', new URL(page.url()).pathname])) {
    // A link may carry what was ticked on the page before it.
    const of = found.get(pattern(path.split('?')[0]));
    if (of && of.length < 2) of.push(path);
  }
  await page.context().close();
});
after(async () => { await house.stop(); });

/** What can be worked on the page, in its order: each marked with its number. A ring of radio buttons is one place. */
function marked(page) {
  return page.evaluate(() => {
    const rings = new Set();
    let n = 0;
    for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]')) {
      if (!e.checkVisibility() || e.disabled || e.tabIndex < 0) continue;
      if (e.type === 'radio') {
        const ring = document.querySelectorAll(`input[type=radio][name="${CSS.escape(e.name)}"]`);
        const at = [...ring].find((one) => one.checked) ?? e;
        if (rings.has(e.name) || at !== e) continue;
        rings.add(e.name);
      }
      e.dataset.place = String(n);
      n += 1;
    }
    return n;
  });
}

/** Goes through the page by Tab; gives what is wrong. */
async function byKeys(page) {
  const places = await marked(page);
  assert.ok(places < PRESSES, `${places} places`);
  const wrong = [];
  let next = 0;
  for (let press = 0; press < PRESSES && next < places; press += 1) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      const box = e.getBoundingClientRect();
      const seen = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      return { place: e.dataset.place, seen, name: (e.innerText || e.name || e.tagName).trim().slice(0, 40) };
    });
    if (at.place === undefined) continue;
    const place = Number(at.place);
    // A box for a date has a stop for each of its parts.
    if (place !== next && place !== next - 1) wrong.push(`Tab goes to “${at.name}” (${place}) in place of ${next}`);
    if (!at.seen) wrong.push(`“${at.name}” has the focus out of sight`);
    if (wrong.length > 3) break;
    next = place + 1;
  }
  if (next < places && wrong.length === 0) wrong.push(`Tab reaches ${next} of ${places} places`);
  return wrong;
}

/** Each page of the list with one thing looked at; fails with all that is wrong. */
async function each(page, look) {
  const wrong = [];
  let pages = 0;
  for (const path of [...found.values()].flat()) {
    const answer = await page.goto(path);
    assert.equal(answer.status(), 200, path);
    wrong.push(...(await look(page, path)).map((line) => `${path}: ${line}`));
    pages += 1;
  }
  assert.ok(pages >= ROUTES.length, `${pages} pages`);
  if (wrong.length > 0) assert.fail(`${wrong.length} faults:\n${wrong.join('\n')}`);
}

test('a steward finds each of these pages by links', () => {
  const missing = [...found].filter(([, paths]) => paths.length === 0).map(([route]) => route);
  assert.deepEqual(missing, []);
});

test('by keys alone', async () => {
  const page = await signIn(house, 'ruth', DESK);
  await each(page, byKeys);
});

test('at 200 %, and with the letters alone twice as large', async () => {
  const page = await signIn(house, 'ruth', ZOOMED);
  await each(page, async () => {
    const wide = (await overflow(page)).map((line) => `zoomed: ${line}`);
    await page.setViewportSize(DESK.viewport);
    await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
    wide.push(...(await overflow(page)).map((line) => `large letters: ${line}`));
    await page.setViewportSize(ZOOMED.viewport);
    return wide;
  });
});

test('the QR picture of a second factor fits a phone with letters twice as large', async () => {
  const page = await signIn(house, 'ruth', PHONE);
  await page.goto('/second-factor');
  await page.locator('svg.qr').waitFor();
  await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
  assert.deepEqual(await overflow(page), []);
});

test('without scripts: the same words, and every form has a button of its own', async () => {
  const plain = await signIn(house, 'ruth', { ...PHONE, javaScriptEnabled: false });
  const scripted = await signIn(house, 'ruth', PHONE);
  const words = (page) => page.evaluate(() => document.querySelector('main').textContent.replace(/\s+/g, ' ').trim());
  await each(plain, async (page, path) => {
    const wrong = [];
    await scripted.goto(path);
    await axe(scripted, true);
    const [one, other] = [await words(page), await words(scripted)];
    // What a script adds it adds to what is there.
    const headings = await page.evaluate(() => [...document.querySelectorAll('main h1, main h2, main h3')].map((e) => e.textContent.replace(/\s+/g, ' ').trim()));
    for (const heading of headings) if (!other.includes(heading)) wrong.push(`“${heading}” stands only without scripts`);
    if (one.length < 40) wrong.push(`says only “${one}”`);
    const mute = await page.evaluate(() => [...document.querySelectorAll('main form')]
      .filter((form) => !form.querySelector('button:not([type=button]), input[type=submit]') && !document.querySelector(`button[form="${form.id || '-'}"]`))
      .map((form) => form.getAttribute('action')));
    wrong.push(...mute.map((action) => `the form to ${action} has no button`));
    return wrong;
  });
  assert.deepEqual(scripted.faults, []);
});
