// What leaves the printer: sheets of labels and statements, as PDF, measured by the Python checks.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { DESK, go, python, sees, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start({ known: true }); });
after(async () => { await house.stop(); });

const SHEETS = [
  { sheet: 'letter-30', jar: /^pint/, count: 35, start: 5 },
  { sheet: 'letter-10', jar: /^quart/, count: 12, start: 1 },
  { sheet: 'a4-21', jar: /^pint/, count: 30, start: 1 },
  { sheet: 'a4-8', jar: /^quart/, count: 9, start: 3 },
];
for (const { sheet, jar, count, start: first } of SHEETS) {
  test(`${count} labels on ${sheet} are where the packet says, and their codes can be read`, async (t) => {
    const page = await signIn(house, 'delia', DESK);
    await tap(page, 'link', 'Boils');
    await tap(page, 'link', /^26003-/);
    await tap(page, 'link', 'Labels');
    const jars = await page.getByLabel('Jars').locator('option').allInnerTexts();
    await page.getByLabel('Jars').selectOption({ label: jars.find((words) => jar.test(words)) });
    await page.getByLabel('How many labels').fill(String(count));
    await page.getByLabel('Sheet of labels').selectOption(sheet);
    await page.getByLabel('First free label').fill(String(first));
    await page.getByLabel('Draw a line around each label').check();
    await page.getByLabel('Height of the straight body').fill('4 in');
    await page.getByLabel('Diameter').fill('3 in');
    await tap(page, 'button', 'Show the sheet');
    const lot = new URL(page.url()).pathname.match(/boils\/(\w+)\//)[1];
    const path = join(house.scratch, `${sheet}.pdf`);
    await page.pdf({ path, preferCSSPageSize: true, printBackground: true });
    const address = `${house.url.toUpperCase()}/L/${lot}`;
    t.diagnostic((await python('label_print.py', path, sheet, count, first - 1, address)).trim());
  });
}

const PAPERS = { a4: { width: '210mm', height: '297mm' }, letter: { width: '8.5in', height: '11in' } };
const STATEMENTS = [['ruth', 'Clyde Fennimore'], ['ruth', 'Pearl Dockery'], ['ruth', 'Rufus Ellender'], ['june', 'June Hollowell'], ['otis', 'Otis Pruittmoore'], ['minnie', 'Minnie Sandlapper']];
for (const [who, name] of STATEMENTS) {
  test(`the statement of ${name} prints on A4 and on US Letter, every sum on it`, async (t) => {
    const page = await signIn(house, who, DESK);
    if (who === 'ruth') {
      await tap(page, 'link', 'Members');
      await tap(page, 'link', name);
      await tap(page, 'link', 'Statement');
    } else {
      await tap(page, 'link', 'Your season’s statement');
    }
    await sees(page, new RegExp(`${name}: statement 2026`));
    await tap(page, 'link', 'Print this statement');
    // What the paper must hold, read before it is printed.
    const expected = await page.evaluate(() => {
      const lines = (part) => part.innerText.split('\n').map((line) => line.trim()).filter(Boolean);
      const texts = (which) => [...document.querySelectorAll(which)].flatMap(lines);
      const rows = (head) => [...document.querySelectorAll('h2')].find((h) => h.innerText === head).nextElementSibling.querySelectorAll('tbody tr').length;
      return {
        head: document.querySelector('.running').innerText,
        first: texts('.stands-now, .signed, tbody th, td[data-is="Your jars"]'),
        // One ticket and one lot are two pages at most.
        most: rows('What you brought') === 1 && rows('What came of it') === 1 ? 2 : 0,
        parts: [...document.querySelectorAll('section.lot')].map((part) => {
          const own = lines(part);
          return [own[0], own.at(-1)];
        }),
        sums: texts('.sum, dl.facts dt, dl.facts dd, td, h2, h3'),
      };
    });
    assert.ok(expected.parts.length >= 5, 'tickets, lots, syrup, money, jars, reckoning');
    assert.ok(expected.sums.length >= 20);
    const file = join(house.scratch, 'expected.json');
    writeFileSync(file, JSON.stringify({ name, ...expected }));
    for (const [paper, size] of Object.entries(PAPERS)) {
      const path = join(house.scratch, `${paper}.pdf`);
      await page.pdf({ path, ...size });
      t.diagnostic((await python('statement_print.py', path, paper, file)).trim());
    }
  });
}

for (const [paper, size] of Object.entries(PAPERS)) {
  test(`all statements in one print on ${paper}: each counts its own pages, none is half empty, and its end is said`, async (t) => {
    const page = await signIn(house, 'ruth', DESK);
    await go(page, '/seasons/2026/statements/print');
    const run = await page.evaluate(() => [...document.querySelectorAll('article.one')].map((one) => ({
      head: one.querySelector('.running').innerText,
      ends: one.querySelector('.end').innerText,
    })));
    assert.ok(run.length >= 10, `${run.length} statements`);
    const file = join(house.scratch, 'run.json');
    writeFileSync(file, JSON.stringify({ run }));
    const path = join(house.scratch, `run-${paper}.pdf`);
    await page.pdf({ path, ...size });
    t.diagnostic((await python('statement_print.py', path, paper, file)).trim());
  });
}

test('the printed statement leaves the ways out', async () => {
  const page = await signIn(house, 'june', DESK);
  await tap(page, 'link', 'Your season’s statement');
  const address = new URL(page.url()).pathname;
  await page.emulateMedia({ media: 'print' });
  for (const hidden of [page.getByRole('navigation'), page.getByRole('button', { name: 'Sign out' }), page.getByRole('link', { name: 'Print this statement' })]) {
    assert.equal(await hidden.isVisible(), false, `${address} prints ${hidden}`);
  }
  await go(page, `${address}/print`);
  assert.equal(await page.getByText('Back to the screen').isVisible(), false);
});

// Leaves to write on: the day's, the hand-over sheet, and the tags.
for (const [paper, size] of Object.entries(PAPERS)) {
  test(`the day's leaves, the hand-over sheet and the tags print on ${paper}: each page says what it is, the day, and page x of y`, async (t) => {
    const page = await signIn(house, 'delia', DESK);
    await tap(page, 'link', 'Press days');
    const days = await page.locator('main a[href^="/days/2"]').evaluateAll((links) => links.map((a) => a.getAttribute('href')));
    const look = async (address, codes) => {
      await go(page, address);
      const expected = await page.evaluate(() => {
        const heads = [...document.querySelectorAll('section.leaf h2')];
        const clean = (text) => text.replace(/\s+/g, ' ').trim();
        return {
          pages: heads.map((h) => clean(h.firstChild.textContent)),
          coop: clean(heads[0]?.querySelector('span').textContent ?? '').split(' · ')[2],
          day: clean(heads[0]?.querySelector('span').textContent ?? '').split(' · ')[0],
          words: [...document.querySelectorAll('.write td, .who')].map((td) => clean(td.textContent)).filter((words) => words.length > 3),
        };
      });
      if (codes) expected.codes = await page.locator('.tag svg').evaluateAll((all) => all.map((svg) => svg.getAttribute('aria-label')));
      return expected;
    };
    let tagged = 0;
    for (const day of [...new Set(days.map((href) => href.match(/\/days\/[\d-]+/)[0]))].slice(0, 4)) {
      const leaves = await look(`${day}/sheet`);
      // Room for thirty turns on six leaves; at midday fewer.
      assert.ok(leaves.pages.length >= 4 && leaves.pages.length <= 6, `${day}: ${leaves.pages}`);
      assert.deepEqual([...new Set(leaves.pages)], ['Slate', 'Ticket pad', 'Juice', 'Reading sheet']);
      t.diagnostic(await printed(page, size, paper, leaves));
      const tags = await look(`${day}/tags`, true);
      if (tags.codes.length === 0) continue;
      tagged += tags.codes.length;
      // Each code leads to the ticket that its tag names.
      const addresses = await codesOf(page, tags.codes, day);
      t.diagnostic(await printed(page, size, paper, { ...tags, codes: addresses }, `${day}/tags`));
    }
    assert.ok(tagged > 0, 'some tags were read');
    const jars = await look('/hand-overs/sheet');
    t.diagnostic(await printed(page, size, paper, jars));
  });
}

/** Prints the page that stands open, or another one, and looks it over. */
async function printed(page, size, paper, expected, address) {
  if (address) await page.goto(address);
  const path = join(house.scratch, `leaves-${paper}.pdf`);
  const file = join(house.scratch, 'leaves.json');
  writeFileSync(file, JSON.stringify(expected));
  await page.pdf({ path, ...size });
  return (await python('leaf_print.py', path, paper, file)).trim();
}

/** The addresses of the tickets that tags name, as the day's page has them. */
async function codesOf(page, labels, day) {
  await page.goto(day);
  const found = await page.locator('a[href^="/tickets/"]').evaluateAll((links) =>
    links.map((a) => [a.textContent.match(/\d+/)?.[0], a.getAttribute('href')]));
  const address = new Map(found.filter(([number, href]) => number && /^\/tickets\/[0-9a-f-]{36}$/.test(href)));
  return labels.map((label) => {
    const number = label.match(/\d+/)[0];
    assert.ok(address.has(number), `the day's page leads to ticket ${number}`);
    return `${house.url}${address.get(number)}`;
  });
}
