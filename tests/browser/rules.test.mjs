// The steward makes a new version of the season's rules; every version stays to be read.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, misses, sees, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

test('a steward changes the toll, and every version stands with what changed', async () => {
  const page = await signIn(house, 'ruth', DESK);
  await tap(page, 'link', 'Rules');
  await tap(page, 'link', '2026');
  await sees(page, /Version 2 is in force/);
  await tap(page, 'link', 'Make a new version');
  await page.getByLabel('The mill’s toll').fill('120');
  await page.getByLabel('What changed, and who decided it').fill('Voted on the sixth of October: an eighth.');
  await tap(page, 'button', 'Make this version');
  await sees(page, /Nothing was stored yet/);
  assert.equal(await page.getByLabel('The mill’s toll').inputValue(), '120', 'what was typed is kept');
  await page.getByLabel('The mill’s toll').fill('12.5');
  await tap(page, 'button', 'Make this version');
  await sees(page, /Version 3 is a draft/);
  await sees(page, /Version 2 is in force/);
  await page.getByLabel('Holds from').fill('2026-10-10');
  await tap(page, 'button', 'Confirm version 3');
  await sees(page, /Version 3 is in force: it holds from Sat 10 Oct 2026, confirmed by Ruth/);
  await sees(page, /First the mill keeps 12\.5 % of the syrup/);
  await page.locator('summary', { hasText: 'Every version' }).click();
  const versions = page.locator('table', { hasText: 'What changed' }).locator('tbody tr');
  assert.equal(await versions.count(), 3);
  await sees(page, /Voted on the sixth of October: an eighth\./);
  await sees(page, /10 % → 12\.5 %/);
});

test('what was divided keeps its rules, and members read the new ones', async () => {
  const page = await signIn(house, 'june', DESK);
  await tap(page, 'link', 'Rules');
  await tap(page, 'link', '2026');
  await sees(page, /First the mill keeps 12\.5 %/);
  await misses(page, /Make a new version/);
  await tap(page, 'link', 'Home');
  await tap(page, 'link', /Lot 26\d{3}-/);
  await sees(page, /Divided by dissolved solids, under version 1 of/);
  await sees(page, /× 10 % =/);
});
