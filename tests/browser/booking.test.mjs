// A member books a turn on a phone, moves it, gives it up; two want the same start.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fact, PHONE, sees, shows, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

const WAYS = [['with scripts', PHONE], ['without scripts', { ...PHONE, javaScriptEnabled: false }]];
const DAY = 'Sat 17 Oct 2026';
const BOOK = /^Sat 17 Oct 2026$/;

/** Tells the cane by its weight, whatever the planting record says. */
async function byWeight(page, amount) {
  await page.getByLabel('How much cane do you expect?').selectOption('weight');
  await page.getByRole('textbox', { name: 'How much' }).fill(amount);
}

for (const [how, options] of WAYS) {
  test(`a member books on a phone in four taps, moves and cancels, ${how}`, async () => {
    const page = await signIn(house, 'otis', options);
    page.taps = 0;
    await tap(page, 'link', BOOK);
    await sees(page, /From the planting record: 85 ft of 400 ft of row/);
    await tap(page, 'button', 'Show the free starts');
    await sees(page, /85\.3 ft of row × 1\.3439 lb a foot \(the season’s rules\) = 114\.6 lb/);
    await sees(page, /Free starts for a turn of 25 min/);
    await sees(page, /114\.6 lb × 60 ÷ 600\.0 lb an hour/);
    await tap(page, 'button', '11:00');
    assert.ok(page.taps <= 4, `${page.taps} taps`);
    await sees(page, /11:00–11:25/);
    assert.equal(await fact(page, 'Press day'), `${DAY}, who comes when`);
    assert.equal(await fact(page, 'Cane expected'), '114.6 lb');
    await sees(page, /Booked: Sat 17 Oct 2026, 11:00–11:25/);

    await tap(page, 'link', 'Move the turn');
    await page.getByLabel('Why, if others should know').fill('the trailer is lent out');
    await tap(page, 'button', '15:00');
    await sees(page, /15:00–15:25/);
    await sees(page, /the trailer is lent out/);

    await tap(page, 'link', 'Home');
    await sees(page, /Sat 17 Oct 2026, 15:00/);
    await tap(page, 'link', 'Sat 17 Oct 2026, 15:00');
    await page.getByLabel('Why', { exact: true }).fill('hail took the field');
    await tap(page, 'button', 'Cancel the turn');
    await sees(page, /This turn was cancelled; its time is free/);
    await tap(page, 'link', 'Home');
    assert.doesNotMatch(await page.locator('main').innerText(), /Sat 17 Oct 2026, 15:00/);
    assert.deepEqual(page.faults, []);
  });
}

test('an amount that is no number comes back beside its box, with what was typed', async () => {
  const page = await signIn(house, 'june');
  await tap(page, 'link', BOOK);
  await byWeight(page, 'a heap');
  await tap(page, 'button', 'Show the free starts');
  assert.equal(await page.getByRole('textbox', { name: 'How much' }).inputValue(), 'a heap');
  const problem = page.locator('#p-amount');
  await shows(problem, /“a heap” is not a number. Please write a number/);
  assert.match(await page.getByRole('textbox', { name: 'How much' }).getAttribute('aria-describedby'), /p-amount/);
  await page.getByRole('alert').getByRole('link').tap();
  assert.equal(new URL(page.url()).hash, '#f-amount', 'the summary leads to the box');
});

test('of two who tap the same start one gets it, the other what is nearest', async () => {
  const [june, minnie] = [await signIn(house, 'june'), await signIn(house, 'minnie')];
  for (const page of [june, minnie]) {
    await tap(page, 'link', BOOK);
    await byWeight(page, '300');
    await tap(page, 'button', 'Show the free starts');
  }
  await tap(june, 'button', '11:30');
  await sees(june, /11:30–12:10/);
  await tap(minnie, 'button', '11:30');
  await sees(minnie, /11:30 is not free for a turn of 40 min/);
  await sees(minnie, /Nearest to the start you wanted/);
  assert.equal(await minnie.getByRole('textbox', { name: 'How much' }).inputValue(), '300', 'the amount typed is kept');
  assert.equal(await minnie.getByRole('button', { name: '11:30', exact: true }).count(), 0);
  const near = minnie.locator('.starts').first().getByRole('button').first();
  const other = await near.innerText();
  await tap(minnie, 'button', other);
  await sees(minnie, new RegExp(`${other}–`));
});

test('two taps on one start make one turn', async () => {
  const page = await signIn(house, 'otis');
  await tap(page, 'link', BOOK);
  await byWeight(page, '200');
  await tap(page, 'button', 'Show the free starts');
  await page.getByRole('button', { name: '16:00' }).dblclick();
  await page.waitForURL(/\/turns\//);
  await sees(page, /16:00–16:30/);
  await tap(page, 'link', 'Home');
  const turns = page.getByRole('link', { name: 'Sat 17 Oct 2026, 16:00' });
  assert.equal(await turns.count(), 1, 'one turn, however often the button was tapped');
});
