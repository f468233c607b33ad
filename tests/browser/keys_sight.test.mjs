// Keys for wet thumbs on phones upright, small and on their side: the box that is typed into and every key are in sight together
// after each tap, and every figure of the yard has them.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { shows, signIn, start } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

const asks = (sql) => {
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const row = book.prepare(sql).get();
  book.close();
  return row;
};
const DAY = '/days/2026-10-10';
const lit = () => asks('select lot_code as lot from boils b where not exists (select 1 from finishes f where f.boil_id = b.id) order by lit_at desc limit 1').lot;
const phone = (width, height) => signIn(house, 'delia', { viewport: { width, height }, isMobile: true, hasTouch: true });

/** What is out of sight, or covered, of the box that is typed into and of the keys; nothing when all of it is seen. */
const hidden = (page, box) => page.evaluate((id) => {
  const [at, keys] = [document.getElementById(id), [...document.querySelectorAll('.keys button')]];
  if (keys.length < 14) return [`${keys.length} keys`];
  return [at, ...keys].flatMap((part) => {
    const { top, bottom, left, right } = part.getBoundingClientRect();
    const found = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    const seen = top >= -0.5 && bottom <= innerHeight + 0.5 && left >= -0.5 && right <= innerWidth + 0.5 && (found === part || part.contains(found));
    return seen ? [] : [`${part.id || part.textContent} at ${Math.round(top)}–${Math.round(bottom)} of ${innerHeight}, under ${found?.outerHTML.slice(0, 60)}`];
  });
}, box);

/** Fails unless box and keys come into sight; the page's style sheet for keys comes with the first. */
async function inSight(page, box, where) {
  let wrong = [];
  for (let tries = 0; tries < 100; tries += 1) {
    wrong = await hidden(page, box);
    if (wrong.length === 0) return;
    await page.waitForTimeout(100);
  }
  assert.deepEqual(wrong, [], `${box} of ${where}`);
}

for (const [width, height] of [[390, 844], [320, 568], [844, 390]]) {
  const size = `${width} × ${height}`;

  test(`a lit boil on a phone of ${size}: box and keys are in sight after each tap`, async () => {
    const page = await phone(width, height);
    const path = `/boils/${lit()}`;
    await page.goto(path);
    await page.locator('main details').evaluateAll((all) => { for (const one of all) one.open = true; });
    const boxes = ['f-temp', 'f-brix', 'f-read_at', 'f-syrup', 'f-finish_brix', 'f-finish_temp', 'f-finished_at', 'f-temp', 'f-amount'];
    for (const box of boxes) {
      await page.locator(`#${box}`).tap();
      await inSight(page, box, path);
    }
    // Next goes on to the next figure, which comes into sight as well.
    await page.locator('#f-syrup').tap();
    await inSight(page, 'f-syrup', path);
    await page.locator('.keys .on').tap();
    await inSight(page, 'f-finish_brix', path);
    await page.goto(`${DAY}/boils/new`);
    for (const box of ['f-lit_at', 'f-water_boil', 'f-lit_at']) {
      await page.locator(`#${box}`).tap();
      await inSight(page, box, 'a new boil');
    }
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });

  test(`weigh-in and juice on a phone of ${size}: box and keys are in sight at each step`, async () => {
    const page = await phone(width, height);
    await page.goto(`${DAY}/tickets/new`);
    await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
    await inSight(page, 'f-gross', 'a weigh-in');
    await page.getByLabel('Gross').fill('545.5');
    await page.locator('.keys .on').tap();
    await inSight(page, 'f-tare', 'a weigh-in');
    const { id } = asks('select t.id from tickets t where not exists (select 1 from juices j where j.ticket_id = t.id) and exists (select 1 from loads l where l.ticket_id = t.id) order by t.ticket desc limit 1');
    await page.goto(`/tickets/${id}/juice/new`);
    await page.getByRole('group', { name: 'Vessel' }).locator('label').filter({ hasText: /: empty$/ }).first().click();
    for (const choice of ['How it was measured', 'Refractometer']) {
      if (await page.getByRole('group', { name: choice }).isVisible()) await page.getByRole('button', { name: 'Next' }).click();
    }
    for (const [box, figure] of [['f-amount', '19.5'], ['f-temp', '66'], ['f-brix_1', '15.2'], ['f-brix_2', '15.3']]) {
      await inSight(page, box, 'a juice');
      await page.locator(`#${box}`).fill(figure);
      await page.locator('.keys .on').tap();
    }
    await page.context().close();
  });
}

test('when the line above grows, as without network, box and keys come into sight again on a small phone', async () => {
  const page = await phone(320, 568);
  await page.goto(`${DAY}/tickets/new`);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await inSight(page, 'f-gross', 'a weigh-in');
  await page.locator('#kept').evaluate((line) => {
    const more = document.createElement('p');
    more.textContent = 'No network: this page is as it was at 11:20. If this is a private window, what waits is lost when it is closed.';
    line.append(more);
  });
  await inSight(page, 'f-gross', 'a weigh-in with a longer line');
  await page.context().close();
});

test('a sample, lost juice, the morning’s checks and what was added are typed with keys of the page, too', async () => {
  const page = await phone(390, 844);
  const ticket = asks('select t.id from tickets t join loads l on l.ticket_id = t.id order by t.ticket desc limit 1').id;
  const juice = asks('select id from juices order by id desc limit 1').id;
  const pages = [
    [`/tickets/${ticket}/sample`, [['f-before', 'lb'], ['f-after', 'lb']]],
    [`/juices/${juice}/lost`, [['f-lost', 'gal|lb']]],
    [`${DAY}/morning`, [['f-known', 'lb'], ['f-reading', 'lb'], ['f-refractometer', '°Bx'], ['f-water_boil', '°F']]],
    [`/boils/${lit()}/additions`, [['f-temp', '°F']]],
  ];
  for (const [path, boxes] of pages) {
    // The keys come with a script of their own, after the page.
    await page.goto(path, { waitUntil: 'networkidle' });
    for (const [box, unit] of boxes) {
      await page.locator(`#${box}`).tap();
      await inSight(page, box, path);
      const least = await page.locator('.keys button').evaluateAll((all) => Math.min(...all.map((one) => one.getBoundingClientRect().height)));
      assert.ok(least >= 56, `${path}: keys of ${least} px`);
      await shows(page.locator('.keys .unit'), new RegExp(`^(${unit})$`), `${box} of ${path}`);
      for (const key of ['7', '.', '5']) await page.getByRole('group', { name: 'Keys' }).getByRole('button', { name: key, exact: true }).tap();
      assert.equal(await page.locator(`#${box}`).inputValue(), '7.5');
    }
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
