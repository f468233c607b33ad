// Frost on a phone: the steward moves killed cane to the front and ticks the calls off; a member reads
// why the turn moved. A member who waits takes the turn that is offered.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PHONE, sees, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

test('killed cane goes first, as it was shown; everybody concerned reads why, and is called', async () => {
  const page = await signIn(house, 'ruth', { ...PHONE, javaScriptEnabled: false });
  await page.goto('/days/2026-10-10');
  await page.locator('details', { has: page.getByRole('link', { name: 'Frost: killed cane first', includeHidden: true }) }).locator('summary').first().click();
  await tap(page, 'link', 'Frost: killed cane first');
  await page.getByLabel(/^Homer Yancey, Sat 17 Oct 2026 14:00/).check();
  await page.getByLabel('Killed cane can be at the mill from').fill('12:30');
  // Without a reason nothing is shown, and what was ticked stays.
  await tap(page, 'button', 'Show what would become of the turns');
  await sees(page, /Please fill in this box/);
  await page.getByLabel('Why').fill('24 °F, leaves white');
  await tap(page, 'button', 'Show what would become of the turns');
  await sees(page, /3 turns would move/);
  const before = await page.locator('main').innerText();
  await tap(page, 'button', 'Move these 3 turns and tell everybody');
  await sees(page, /Why: 24 °F, leaves white/);
  const done = await page.locator('main').innerText();
  for (const name of ['Homer Yancey', 'June Hollowell', 'Tomás Arroyo Vance']) {
    assert.ok(before.includes(name) && done.includes(name), name);
  }
  const writes = await page.getByRole('link', { name: 'Write a text message' }).first().getAttribute('href');
  assert.match(writes, /^sms:6155550123\?body=Your%20turn%20on%20Sat%2017%20Oct%202026%20at%2014%3A00%20is%20moved/);
  await tap(page, 'button', 'Told: Homer Yancey');
  await sees(page, /Homer Yancey\s+told/);
  assert.deepEqual(page.faults, []);

  const june = await signIn(house, 'june');
  await sees(june, /Your turn on Sat 10 Oct 2026 was moved/);
  await sees(june, /12:30 is moved to Sat 10 Oct 2026, 13:10–13:55\. Why: 24 °F, leaves white\./);
  await tap(june, 'link', 'Look at the turn');
  await sees(june, /Killed cane first: 24 °F, leaves white/);
  await sees(june, /Ruth Bellweather/);
  await tap(june, 'link', 'Home');
  await june.locator('.note', { hasText: 'Your turn on Sat 10 Oct 2026 was moved' }).getByRole('button', { name: 'I have read this' }).click();
  await june.waitForLoadState();
  assert.doesNotMatch(await june.locator('main').innerText(), /Your turn on Sat 10 Oct 2026 was moved/);
  assert.deepEqual(june.faults, []);
});

test('who waits takes the offered turn on the home page', async () => {
  const page = await signIn(house, 'otis', { ...PHONE, javaScriptEnabled: false });
  await sees(page, /A turn is free for you: Sat 24 Oct 2026, 15:00–16:00/);
  await tap(page, 'button', 'Take this turn');
  await sees(page, /from the waiting list/);
  await tap(page, 'link', 'Home');
  await sees(page, /Sat 24 Oct 2026, 15:00/);
  assert.doesNotMatch(await page.locator('main').innerText(), /A turn is free for you|You wait for/);
  assert.deepEqual(page.faults, []);
});
