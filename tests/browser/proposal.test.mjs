// The season proposed: a steward pins a turn, forbids a day, says when frost comes, asks the members; one takes the turn, one wants
// another day. Who can come is said by the members, and the roster goes by it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, PHONE, sees, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

const PROPOSAL = '/seasons/2026/proposal';

/** The turns on the page, each as "day: time whose". */
async function turns(page) {
  return page.evaluate(() => [...document.querySelectorAll('main form table.cards')].flatMap((table) => {
    let head = table.previousElementSibling;
    while (head && head.tagName !== 'H2') head = head.previousElementSibling;
    return [...table.querySelectorAll('tbody tr')].map((row) => `${head.textContent}: ${row.querySelector('bdi').textContent}`);
  }));
}

/** A member writes down a row that is ready late in October. */
async function plants(name) {
  const own = await signIn(house, name, { ...PHONE, javaScriptEnabled: false });
  await own.getByRole('link', { name: 'Your plantings' }).click();
  await own.goto(`${new URL(own.url()).pathname}/new`);
  for (const [label, typed] of [['Variety', 'late honey'], ['Planted on', '2026-06-22'], ['Days to maturity', '118']]) {
    await own.getByLabel(label).fill(typed);
  }
  await own.getByLabel(/^Length of row/).fill('600');
  await tap(own, 'button', 'Add the planting');
  return own;
}

test('a turn is pinned, a day is shut, frost is written in, the members are asked, and they answer', async () => {
  // Late rows of two who sign in here.
  const june = await plants('june');
  const otis = await plants('otis');
  const page = await signIn(house, 'ruth', { ...DESK, javaScriptEnabled: false });
  await page.goto(PROPOSAL);
  await sees(page, /turns are proposed/);
  await sees(page, /can help, \d+ of them at the rollers; two or more are there from/);
  const first = await turns(page);
  assert.ok(first.length >= 2, `${first}`);
  // Pinned: it stays whatever else is asked for.
  const row = page.locator('main form table.cards tbody tr').first();
  const pinned = first[0];
  for (const box of await row.getByLabel('Keep').all()) await box.check();
  await tap(page, 'button', 'Propose nothing on Sat 7 Nov 2026');
  await sees(page, /Forbidden by Ruth Bellweather on .*: nothing is proposed on this day until a steward allows it again/);
  const again = await turns(page);
  assert.ok(again.includes(pinned), `${pinned} is not in ${again}`);
  assert.ok(again.every((turn) => !turn.startsWith('Sat 7 Nov')), `${again}`);
  // Frost: a date that is no date stands beside its box; then it counts.
  await page.locator('summary', { hasText: 'Write in when frost is expected' }).click();
  await page.getByLabel('In 1 year of 10 it has come by').fill('2026-10-20');
  await page.getByLabel('In 5 years of 10').fill('2026-10-30');
  await page.getByLabel('In 9 years of 10').fill('2026-11-12');
  await tap(page, 'button', 'Write it in');
  await sees(page, /Nothing was stored yet/);
  await page.getByLabel('Which table says so').fill('Freeze table of the county, made up');
  await tap(page, 'button', 'Write it in');
  await sees(page, /Freeze table of the county, made up, written in by Ruth Bellweather/);
  const asked = await turns(page);
  await page.getByRole('button', { name: /^Ask the members/ }).click();
  await page.waitForLoadState();
  await sees(page, /asked about and not answered yet/);
  await page.locator('summary', { hasText: 'Booked and asked' }).click();
  await sees(page, /asked, may answer by/);
  assert.deepEqual(page.faults, []);
  // Whoever was asked finds it at home, and answers: another day for the one, taken by the other.
  for (const name of ['June Hollowell', 'Otis Pruittmoore']) assert.ok(asked.some((turn) => turn.endsWith(name)), `${asked}`);
  const offer = async (own) => {
    await own.goto('/');
    await sees(own, /Please answer by/);
    return own.locator('.note', { hasText: 'A turn is proposed for you' }).first();
  };
  await (await offer(june)).getByRole('button', { name: 'Another day' }).click();
  await june.waitForLoadState();
  await sees(june, /The days you can come/);
  await page.goto(PROPOSAL);
  const day = asked.find((turn) => turn.endsWith('June Hollowell')).split(':')[0];
  assert.ok((await turns(page)).every((turn) => turn !== `${day}: June Hollowell`), 'the day is not proposed again');
  await (await offer(otis)).getByRole('button', { name: 'Take this turn' }).click();
  await otis.waitForLoadState();
  assert.match(new URL(otis.url()).pathname, /^\/turns\//);
  assert.deepEqual([june.faults, otis.faults], [[], []]);
});

test('a member says which days are possible, and the steward makes the roster from it', async () => {
  const june = await signIn(house, 'june', { ...PHONE, javaScriptEnabled: false });
  await june.goto('/days');
  await tap(june, 'link', 'Say on which days you can come');
  const helps = june.getByLabel('Can help at the mill').first();
  await helps.check();
  await june.getByLabel('At the rollers').check();
  await tap(june, 'button', 'Save these days');
  await sees(june, /The days you can come/);
  assert.ok(await june.getByLabel('Can help at the mill').first().isChecked());
  assert.deepEqual(june.faults, []);
  const ruth = await signIn(house, 'ruth', { ...PHONE, javaScriptEnabled: false });
  await ruth.goto('/days/2026-10-17/roster');
  await sees(ruth, /proposed from the people who said they can help/);
  await tap(ruth, 'button', 'Save the roster');
  assert.doesNotMatch(await ruth.locator('main').innerText(), /not saved yet/);
  await ruth.goto('/days/2026-10-10/hours');
  await sees(ruth, /down for/);
  assert.deepEqual(ruth.faults, []);
});
