// Every kind of page that each role can reach, looked over: WCAG 2.2 A and AA by axe-core in light and
// dark, text at 7:1, targets of 44 px, reflow at 320 px, text spacing, focus, weight, a quiet console.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { crawl } from './crawl.mjs';
import { axe, DESK, PHONE, signIn, start, visitor } from './house.mjs';
import { contrast, overflow, smallTargets, spaced, unfocused, unspaced, wire } from './look.mjs';

/** Bytes of a page with its style sheet: ten segments of 1,380 bytes (RFC 6928, section 2). */
const FIRST_FLIGHT = 13_800;

let house;
before(async () => { house = await start({ known: true }); });
after(async () => { await house.stop(); });

const known = new Map();
const weights = [];

/** Looks one page over; gives what is wrong with it. */
async function lookOver(page, path) {
  const wrong = [];
  const note = (what, list) => wrong.push(...list.map((line) => `${path}, ${what}: ${line}`));
  const checked = async (what, colours = false) => {
    try { await axe(page, true, colours); } catch (error) { note(what, error.actual ?? [error.message]); }
  };
  await page.setViewportSize(PHONE.viewport);
  await page.emulateMedia({ colorScheme: 'light' });
  const answer = await page.goto(path);
  assert.ok([200, 404, 422].includes(answer.status()), `${path} answers ${answer.status()}`);
  note('focus', await unfocused(page));
  // What hides behind a summary is part of the page too.
  await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
  await checked('light');
  note('390 px', await smallTargets(page));
  await page.setViewportSize({ width: 320, height: 640 });
  note('320 px', await overflow(page));
  note('320 px', await spaced(page));
  note('320 px, spaced', await overflow(page));
  await unspaced(page);
  await page.setViewportSize(DESK.viewport);
  note('1280 px', await smallTargets(page));
  note('1280 px', await overflow(page));
  await page.emulateMedia({ colorScheme: 'dark' });
  await checked('dark', true);
  note('console', page.faults.splice(0));
  return wrong;
}

async function lookAll(page, paths) {
  const sizes = new Map();
  const cookie = (await page.context().cookies()).map((c) => `${c.name}=${c.value}`).join('; ');
  const wrong = [];
  for (const path of paths) {
    wrong.push(...await lookOver(page, path));
    const own = await wire(house.url + path, cookie);
    const parts = await page.evaluate(() => ['link[rel=stylesheet]:not([data-keys])', 'script[src]:not([type=module])'].map((which) => [...document.querySelectorAll(which)].map((e) => e.href || e.src)));
    const weigh = async (all) => {
      for (const part of all) if (!sizes.has(part)) sizes.set(part, (await wire(part)).bytes);
      return all.reduce((sum, part) => sum + sizes.get(part), 0);
    };
    const bytes = own.bytes + await weigh(parts[0]);
    // A script that waits for the page comes right behind the first flight of ten segments of 1,460 bytes (RFC 6928): one segment more.
    const whole = bytes + await weigh(parts[1]);
    if (whole > 16_060 && !/\/statements\/print$/.test(path)) wrong.push(`${path}: ${whole} bytes with its script`);
    weights.push([bytes, path]);
    // All statements in one print are sent to a desk with a printer, not to a phone.
    if (bytes > FIRST_FLIGHT && !/\/statements\/print$/.test(path)) wrong.push(`${path}: ${bytes} bytes with its style sheet`);
    if (own.encoding !== 'gzip') wrong.push(`${path}: not compressed`);
  }
  if (wrong.length > 0) assert.fail(`${wrong.length} faults:\n${wrong.join('\n')}`);
}

test('pages before signing in', async () => {
  const page = await visitor(house);
  await page.goto('/sign-in');
  await lookAll(page, [...await crawl(page, known, ['/sign-in']), '/nothing/here']);
});

for (const name of ['ruth', 'delia', 'june', 'otis', 'minnie']) {
  test(`every kind of page that ${name} reaches`, async (t) => {
    const page = await signIn(house, name);
    const paths = await crawl(page, known);
    t.diagnostic(`${paths.length} kinds of page not seen before`);
    await lookAll(page, paths);
  });
}

test('the heaviest pages with style sheet and script, bytes on the wire', (t) => {
  weights.sort((a, b) => b[0] - a[0]);
  assert.ok(weights.length > 50, `${weights.length} pages were weighed`);
  for (const [bytes, path] of weights.slice(0, 5)) t.diagnostic(`${bytes} ${path}`);
});

test('contrast is reckoned as published', () => {
  const rows = readFileSync(new URL('../published/contrast_vectors.csv', import.meta.url), 'utf8').trim().split('\n').slice(1);
  assert.ok(rows.length >= 5);
  for (const row of rows) {
    const [one, other, ratio] = row.split(',');
    assert.ok(Math.abs(contrast(one, other) - Number(ratio)) < 0.01, row);
  }
});

test('the colours of the style sheet: text at 7:1, borders and focus at 3:1, light and dark', () => {
  const css = readFileSync(new URL('../../static/app.css', import.meta.url), 'utf8');
  const schemes = [...css.matchAll(/:root[^{]* \{([^}]*--paper[^}]*)\}/g)].map(([, body]) =>
    Object.fromEntries([...body.matchAll(/--([a-z-]+): (#[0-9a-f]{6})/g)].map(([, word, colour]) => [word, colour])));
  assert.equal(schemes.length, 3, 'a light scheme, and a dark one by the system or by choice');
  assert.deepEqual(schemes[1], schemes[2], 'dark is dark, whoever chose it');
  const texts = [['ink', 'paper'], ['ink', 'sheet'], ['soft', 'paper'], ['soft', 'sheet'], ['link', 'paper'],
    ['link', 'sheet'], ['on-leaf', 'leaf'], ['wrong', 'paper'], ['wrong', 'sheet'], ['wrong', 'wrong-bg'],
    ['warn', 'warn-bg'], ['good', 'good-bg'], ['soft', 'good-bg']];
  const lines = [['rule', 'paper'], ['rule', 'sheet'], ['wrong', 'sheet'], ['focus', 'paper'], ['focus', 'sheet'],
    ['focus', 'warn-bg'], ['focus', 'wrong-bg'], ['on-leaf', 'leaf']];
  const wrong = [];
  schemes.forEach((colours, scheme) => {
    const hold = (least) => ([one, other]) => {
      const ratio = contrast(colours[one], colours[other]);
      if (!(ratio >= least)) wrong.push(`${['light', 'dark', 'dark'][scheme]}: ${one} on ${other} is ${ratio.toFixed(2)}, not ${least}`);
    };
    texts.forEach(hold(7));
    lines.forEach(hold(3));
  });
  assert.deepEqual(wrong, []);
});
