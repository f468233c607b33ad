// Two hundred members on a telephone: a line each, at most four screens a page, and one is found by a few letters.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { go, PHONE, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

test('two hundred members stand a line each, and one is found', async () => {
  const page = await signIn(house, 'ruth');
  await go(page, '/members/paste');
  const names = Array.from({ length: 200 }, (_, n) => `Marguerite${'abcdefghij'[n % 10]} Oakhollow${'klmnopqrst'[Math.floor(n / 10) % 10]}${n >= 100 ? 'y' : ''}`);
  await page.getByLabel('Members').fill(names.map((name, n) => `${name}, 615 555 ${1000 + n}`).join('\n'));
  await tap(page, 'button', 'Look them over');
  await tap(page, 'button', /^Add these/);
  await go(page, '/members');
  const { height, wide } = await page.evaluate(() => ({
    height: document.documentElement.scrollHeight,
    wide: document.documentElement.scrollWidth,
  }));
  assert.equal(await page.locator('tbody tr').count(), 46);
  assert.ok(height <= 4.05 * PHONE.viewport.height, `${height} px are more than four screens of ${PHONE.viewport.height}`);
  assert.ok(wide <= PHONE.viewport.width, `${wide} px wide`);
  for (const row of await page.locator('tbody tr').all()) {
    const box = await row.boundingBox();
    assert.ok(box.height >= 44 && box.height < 50, `a row of ${box.height} px: ${await row.innerText()}`);
  }
  await page.getByLabel('Look for').fill('oakhollowty gueritej');
  await tap(page, 'button', 'Look');
  assert.equal(await page.locator('tbody tr').count(), 1);
  await page.getByRole('link', { name: '615 555 1199' }).waitFor();
  assert.deepEqual(page.faults, []);
});

test('an address of two lines is kept as it was typed', async () => {
  const page = await signIn(house, 'minnie');
  await tap(page, 'link', 'Your card');
  await tap(page, 'link', 'Change');
  await page.getByLabel('Postal address').fill('12 Mill Road\nSecond gate');
  await page.getByLabel('Your passphrase').fill('press day in october');
  await tap(page, 'button', 'Save');
  await page.getByText('Second gate').waitFor();
  assert.deepEqual(page.faults, []);
});
