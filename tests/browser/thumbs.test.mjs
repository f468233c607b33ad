// What the thumb finds beyond weigh-in and juice: the page's own keys for the figures of a boil and its finish, and the
// tares of a member who comes without a turn.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { axe, sees, signIn, start } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

const asks = (sql) => {
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const row = book.prepare(sql).get();
  book.close();
  return row;
};

/** Types a figure with the page's own keys, each of them large enough for a wet thumb. */
async function types(page, figure) {
  for (const key of figure) {
    const button = page.getByRole('group', { name: 'Keys' }).getByRole('button', { name: key, exact: true });
    const box = await button.boundingBox();
    assert.ok(box.width >= 56 && box.height >= 56, `key ${key} is ${box.width} × ${box.height} px`);
    await button.tap();
  }
}

test('reading and finish of a lit boil have keys of their own, with the unit and the colon of a time', async () => {
  const { lot } = asks('select lot_code as lot from boils b where not exists (select 1 from finishes f where f.boil_id = b.id) order by lit_at desc limit 1');
  const page = await signIn(house, 'delia');
  await page.goto(`/boils/${lot}`);
  const keys = page.getByRole('group', { name: 'Keys' });
  assert.equal(await keys.count(), 0, 'no keys before a box is tapped');
  await page.getByRole('textbox', { name: 'Temperature of the pan' }).tap();
  await keys.waitFor();
  await page.waitForFunction(() => getComputedStyle(document.querySelector('.keys')).display === 'grid');
  await types(page, '217.5');
  assert.equal(await page.locator('#f-temp').inputValue(), '217.5');
  await sees(page, /°F/);
  await axe(page, true);
  await page.getByText('Drawn off: write the finish down').tap();
  await page.getByLabel('Syrup drawn off').tap();
  await types(page, '41');
  assert.equal(await page.locator('.keys .unit').innerText(), 'lb');
  await keys.getByRole('button', { name: 'Next' }).tap();
  await types(page, '78.4');
  assert.equal(await page.locator('#f-finish_brix').inputValue(), '78.4', 'Next goes on to the next figure');
  assert.equal(await keys.count(), 1, 'one set of keys');
  await page.locator('#f-finished_at').fill('');
  await page.locator('#f-finished_at').tap();
  await types(page, '11:20');
  assert.equal(await page.locator('#f-finished_at').inputValue(), '11:20');
  await page.getByLabel('digital').check();
  assert.deepEqual(page.faults, []);
});

test('the page of a lit boil with its finish open is at most eight and a half screens of a phone', async (t) => {
  const { lot } = asks('select lot_code as lot from boils b where not exists (select 1 from finishes f where f.boil_id = b.id) order by lit_at desc limit 1');
  const page = await signIn(house, 'delia');
  await page.goto(`/boils/${lot}`);
  await page.getByText('Drawn off: write the finish down').tap();
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  t.diagnostic(`${(height / 844).toFixed(2)} screens`);
  assert.ok(height <= 8.5 * 844, `${height} px`);
});

test('who comes without a turn has the last tare as one tap, and nobody else’s', async () => {
  const known = asks(`select m.id, m.name, l.tare_g as tare from tickets t join members m on m.id = t.member_id join loads l on l.ticket_id = t.id
    where m.left_at is null and l.tare_g > 0 and l.void = 0 and l.trailer = '' and not exists (select 1 from turns b join press_days p on p.id = b.press_day_id
      where b.member_id = m.id and b.state = 'held' and p.date = '2026-10-10' and not exists (select 1 from tickets d where d.turn_id = b.id))
    order by l.at desc limit 1`);
  const page = await signIn(house, 'delia');
  await page.goto('/days/2026-10-10/tickets/new');
  await page.getByText('Somebody without a turn').tap();
  await page.getByLabel('Find by name or number').fill(known.name);
  await page.locator('#f-member .picks label', { hasText: known.name }).tap();
  await page.getByLabel('Gross').fill('556.5');
  await page.getByRole('button', { name: 'Next' }).tap();
  const tares = page.locator('#f-known_tare .picks > span:visible');
  const own = page.locator(`#f-known_tare [data-whose="${known.id}"] label`);
  await own.first().waitFor();
  const others = await page.locator(`#f-known_tare [data-whose]:not([data-whose="${known.id}"])`).evaluateAll((all) => all.filter((one) => one.checkVisibility()).length);
  assert.equal(others, 0, `${await tares.count()} to tap`);
  await own.first().tap();
  const pounds = (known.tare / 453.59237).toFixed(1).replace(/\.0$/, '');
  await sees(page, new RegExp(`556\\.5 − ${pounds.replace('.', '\\.')} = `));
  assert.deepEqual(page.faults, []);
});
