// Beside the pan: a reading in one tap, − and + with and without scripts, figures that renew by
// themselves without touching what is being typed, and a lost connection that is said.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PHONE, sees, shows, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** Opens the boil that is on the fire. */
async function fire(options) {
  const page = await signIn(house, 'delia', options);
  const lit = page.getByRole('listitem').filter({ hasText: 'on the fire' }).getByRole('link');
  await tap(page, 'link', await lit.first().innerText());
  await sees(page, /Draw off at\s+22\d\.\d °F/);
  return page;
}
const pan = (page) => page.getByRole('textbox', { name: 'Temperature of the pan' });
const readings = (page) => page.locator('table', { hasText: 'Refractometer' }).locator('tbody tr');

test('call, time to go, draw-off, keys and the button that sends are on a phone’s first screen', async () => {
  const page = await fire();
  const foot = async (part) => { const box = await part.boundingBox(); return box.y + box.height; };
  const parts = [page.locator('#live .call'), page.locator('#live .beside'), page.getByRole('group', { name: 'One tap' }), pan(page),
    page.getByRole('button', { name: 'Note the reading' }).last()];
  for (const part of parts) {
    const at = await foot(part);
    assert.ok(at <= 844, `${await part.innerText()}: ${at}`);
  }
  assert.equal(await page.evaluate(() => scrollY), 0);
});

test('one tap notes a reading', async () => {
  const page = await fire();
  const before = await readings(page).count();
  const offered = page.getByRole('group', { name: 'One tap' }).getByRole('button');
  const shown = await offered.nth(1).innerText();
  await tap(page, 'button', shown);
  assert.equal(await readings(page).count(), before + 1);
  await shows(readings(page).first(), new RegExp(`${shown.replace('.', '\\.')} °F`));
});

for (const [how, options] of [['on the spot with scripts', PHONE], ['by a round trip without', { ...PHONE, javaScriptEnabled: false }]]) {
  test(`− and + count ${how}, and nothing is noted by them`, async () => {
    const page = await fire(options);
    const before = await readings(page).count();
    const from = Number(await pan(page).getAttribute('placeholder'));
    const more = page.getByRole('button', { name: 'Temperature of the pan, °F: half more' });
    for (const _ of [1, 2]) {
      if (page.scripted) await more.click();
      else await tap(page, 'button', 'Temperature of the pan, °F: half more');
    }
    assert.equal(await pan(page).inputValue(), (from + 1).toFixed(1));
    assert.equal(await readings(page).count(), before);
    assert.deepEqual(page.faults, []);
  });
}

/** Counts, in the page, what a phone does to be noticed: tones, shakes, a screen that is to stay lit. */
function counted() {
  window.noticed = { tones: 0, shakes: 0, lit: 0, dark: () => {} };
  const play = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function played(...all) {
    window.noticed.tones += 1;
    return play.apply(this, all);
  };
  navigator.vibrate = () => { window.noticed.shakes += 1; return true; };
  const lock = () => Object.assign(new EventTarget(), { release: async () => {} });
  navigator.wakeLock.request = async () => {
    window.noticed.lit += 1;
    const held = lock();
    window.noticed.dark = () => held.dispatchEvent(new Event('release'));
    return held;
  };
}

test('without network a reading that is overdue is heard, felt and stands in the title; the screen stays lit', async () => {
  const page = await fire();
  await page.addInitScript(counted);
  await page.clock.install();
  await page.reload();
  const noticed = () => page.evaluate(() => ({ ...window.noticed, dark: undefined }));
  const asks = (event) => page.evaluate((name) => document.dispatchEvent(new Event(name)), event);
  // The screen stays lit without a tap; nothing sounds.
  await page.waitForFunction(() => window.noticed.lit === 1);
  assert.deepEqual(await noticed(), { tones: 0, shakes: 0, lit: 1, dark: undefined });

  // The first tap allows the sound and is its trial.
  await page.getByRole('button', { name: 'Sound on: tap to try it' }).click();
  await page.getByRole('button', { name: 'Sound is on: try it again' }).waitFor();
  assert.deepEqual(await noticed(), { tones: 1, shakes: 1, lit: 1, dark: undefined });
  // Whoever puts the phone away and takes it out again finds it lit.
  await page.evaluate(() => window.noticed.dark());
  await asks('visibilitychange');
  await page.waitForFunction(() => window.noticed.lit === 2);

  // A reading loads the page anew: the sound is still on, and the screen lit.
  await tap(page, 'button', await page.getByRole('group', { name: 'One tap' }).getByRole('button').nth(1).innerText());
  await page.getByRole('button', { name: 'Sound is on: try it again' }).waitFor();
  await page.waitForFunction(() => window.noticed.lit === 1);
  await page.getByRole('button', { name: 'Sound is on: try it again' }).click();
  assert.deepEqual(await noticed(), { tones: 1, shakes: 1, lit: 1, dark: undefined });

  const quiet = await page.title();
  await page.context().setOffline(true);
  await page.clock.fastForward('02:00:00');
  await page.waitForFunction(() => document.body.dataset.weight === 'alarm');
  const alarm = await noticed();
  assert.deepEqual([alarm.tones, alarm.shakes], [4, 2], 'three tones');
  assert.notEqual(await page.title(), quiet);
  assert.ok((await page.title()).endsWith(quiet), await page.title());
  await shows(page.locator('#countdown'), /^\d+ min overdue$/);
  // It goes on until somebody comes: every ten seconds.
  await page.clock.fastForward(10_000);
  await page.waitForFunction(() => window.noticed.tones === 7);
  await page.context().setOffline(false);
  await page.close();
});

test('the figures renew by themselves, and what is being typed stays', async () => {
  const page = await fire();
  await pan(page).fill('217.2');
  const other = await fire();
  const live = page.locator('#live');
  const was = await live.innerText();
  await pan(other).fill('216.5');
  await tap(other, 'button', 'Note the reading');
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForFunction((old) => document.getElementById('live').innerText !== old, was);
  await shows(live, /°Bx/);
  assert.equal(await pan(page).inputValue(), '217.2');
  assert.deepEqual(page.faults, []);

  await page.context().setOffline(true);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.getByText('No connection: these figures are as they were.').waitFor();
  assert.equal(await pan(page).inputValue(), '217.2');
  await page.context().setOffline(false);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.getByText('No connection').waitFor({ state: 'hidden' });
});
