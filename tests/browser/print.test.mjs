// What leaves the printer: sheets of labels and statements, as PDF, measured by the Python checks.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { DESK, go, python, sees, shows, signIn, start, tap } from './house.mjs';

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
        parts: [...document.querySelectorAll('section.lot:not(.flows)')].map((part) => {
          const own = lines(part);
          return [own[0], own.at(-1)];
        }),
        sums: texts('.sum, dl.facts dt, dl.facts dd, td, h2, h3'),
      };
    });
    assert.ok(expected.parts.length >= 2, 'tickets, reckoning');
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

/** Makes the statements on the page those of members with more tickets and lots, some of them repaid from a further lot: the
 * same ones again and again, with as many lines of the accounts. */
const SEVERAL = (from) => {
  const again = (elements, times) => {
    for (let n = 1; n < times; n += 1) for (const one of elements) elements.at(-1)?.after(one.cloneNode(true));
  };
  document.querySelectorAll('.pages').forEach((one, index) => {
    const [tickets, lots] = [1 + ((from + index) % 3), 1 + (Math.floor((from + index) / 3) % 4)];
    const headed = (tag, words) => [...one.querySelectorAll(tag)].filter((head) => head.innerText.startsWith(words));
    const rows = (head) => [...(head?.parentElement?.matches('section') ? head.parentElement : head?.nextElementSibling)?.querySelectorAll('tbody tr') ?? []];
    again(rows(headed('h2', 'What you brought')[0]), tickets);
    again(rows(headed('h2', 'What came of it')[0]), lots);
    again(rows(headed('h3', 'Syrup carried')[0]), lots);
    again(rows(headed('h3', 'Money')[0]), lots);
    again(headed('h3', 'Ticket ').slice(-1).map((head) => head.parentElement), tickets);
    again(headed('h3', 'Lot ').slice(-1).map((head) => head.parentElement), lots);
  });
};
for (const [paper, size] of Object.entries(PAPERS)) {
  test(`statements of members with several tickets and lots on ${paper}: no page is half empty, in one print and alone`, async (t) => {
    const page = await signIn(house, 'ruth', DESK);
    const look = async (address, from) => {
      await page.goto(address);
      const file = join(house.scratch, 'several.json');
      await page.evaluate(SEVERAL, from);
      const run = await page.evaluate(() => [...document.querySelectorAll('.loose')].map((one) => ({
        head: one.querySelector('.running').innerText,
        ends: one.querySelector('.end').innerText,
      })));
      writeFileSync(file, JSON.stringify({ run, alone: run.length === 1 }));
      const path = join(house.scratch, `several-${paper}.pdf`);
      await page.pdf({ path, ...size });
      t.diagnostic((await python('statement_print.py', path, paper, file)).trim());
    };
    for (const from of [0, 5, 10]) await look('/seasons/2026/statements/print', from);
    await go(page, '/');
    await tap(page, 'link', 'Members');
    await tap(page, 'link', 'Rufus Ellender');
    await tap(page, 'link', 'Statement');
    const alone = `${new URL(page.url()).pathname}/print`;
    for (const from of [3, 4, 7]) await look(alone, from);
  });
}

/** Makes the one lot on the page a corrected one: what a correction adds to its head, its fees and to both accounts. */
const CORRECTED = () => {
  const head = [...document.querySelectorAll('h3')].find((h) => h.innerText.startsWith('Lot '));
  head.append('; version 2, put right because: the Brix of a neighbour was misread');
  const fees = head.parentElement.querySelector('dl');
  for (const at of [-2, -1]) fees.append(fees.children[fees.children.length + at].cloneNode(true));
  fees.lastElementChild.textContent = 'put right in version 2: $10.00 for the boil × 13815 ÷ 33727 of what its members brought = 410 ¢, cut to the cent, and odd cents to those of whom most was cut off; $4.19 before: −$0.09';
  const account = (name) => [...document.querySelectorAll('h3')].find((h) => h.innerText === name).parentElement.querySelector('tbody');
  for (const [name, says] of [['Syrup carried', 'put right in version 2: share: 12,204 g of the 33,105 g in jars; 12,501 g before'], ['Money', fees.lastElementChild.textContent]]) {
    const row = account(name).lastElementChild.cloneNode(true);
    row.children[3].textContent = says;
    account(name).append(row);
  }
};
for (const [paper, size] of Object.entries(PAPERS)) {
  test(`a statement on ${paper}, on its own paper and printed from the screen: one ticket and one lot take two pages, corrected too on the paper; no page is half empty`, async (t) => {
    const ruth = await signIn(house, 'ruth', DESK);
    const alone = [];
    for (const name of ['Clyde Fennimore', 'Pearl Dockery', 'Rufus Ellender', 'June Hollowell', 'Minnie Sandlapper']) {
      await go(ruth, '/');
      await tap(ruth, 'link', 'Members');
      await tap(ruth, 'link', name);
      await tap(ruth, 'link', 'Statement');
      const screen = new URL(ruth.url()).pathname;
      for (const address of [screen, `${screen}/print`]) {
        for (const corrected of [false, true]) {
          await ruth.goto(address);
          const rows = (head) => ruth.evaluate((words) => [...document.querySelectorAll('h2')].find((h) => h.innerText === words).nextElementSibling.querySelectorAll('tbody tr').length, head);
          const one = await rows('What you brought') === 1 && await rows('What came of it') === 1;
          if (corrected && !one) continue;
          if (corrected) await ruth.evaluate(() => { for (const part of document.querySelectorAll('details')) part.open = true; });
          if (corrected) await ruth.evaluate(CORRECTED);
          if (one) alone.push(name);
          const head = await ruth.evaluate(() => document.querySelector('.running').textContent);
          const file = join(house.scratch, 'ctrl.json');
          writeFileSync(file, JSON.stringify({ name, head, first: [], most: one ? 2 + Number(corrected && address === screen) : 0, parts: [], sums: [] }));
          const path = join(house.scratch, `ctrl-${paper}.pdf`);
          await ruth.pdf({ path, ...size });
          t.diagnostic(`${name}${corrected ? ', corrected' : ''}, ${address.endsWith('print') ? 'paper' : 'screen'}: ${(await python('statement_print.py', path, paper, file)).trim()}`);
        }
      }
    }
    assert.ok(alone.length > 0, 'a statement of one ticket and one lot was printed');
  });
}

test('the picture of a season prints on one page, with whose it is, the day and the co-op at its head', async () => {
  const page = await signIn(house, 'june', DESK);
  await tap(page, 'link', 'Your season as a picture');
  await page.emulateMedia({ media: 'print' });
  assert.equal(await page.getByRole('link', { name: 'The statement, sum by sum' }).isVisible(), false);
  await shows(page.locator('.running'), /^Your season 2026 · June Hollowell · \w+ \d+ \w+ 2026 [\d:]+ · Coldwater Ridge/);
  for (const seasons of [1, 2]) {
    // The season before beside it.
    if (seasons === 2) await page.evaluate(() => { for (const bar of document.querySelectorAll('.barred')) bar.after(bar.cloneNode(true)); });
    for (const size of Object.values(PAPERS)) {
      const pdf = await page.pdf(size);
      assert.equal(pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length, 1, `${seasons} seasons`);
    }
  }
});

test('a ticket and a juice print on one page each, and who gets what of a lot on two', async () => {
  const page = await signIn(house, 'june', DESK);
  const pages = async () => {
    for (const size of Object.values(PAPERS)) {
      const pdf = await page.pdf(size);
      const count = pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length;
      if (count !== 1) return count;
    }
    return 1;
  };
  await page.locator('a[href^="/tickets/"]').first().click();
  await sees(page, /Gross less tare is net/);
  assert.equal(await pages(), 1, 'the ticket');
  await page.locator('a[href^="/juices/"]').first().click();
  await sees(page, /Juice that counts/);
  assert.equal(await pages(), 1, 'the juice');
  await go(page, '/');
  await page.locator('a[href$="/divide"]').first().click();
  await sees(page, /What was brought/);
  assert.ok(await pages() <= 2, 'the division');
});

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
