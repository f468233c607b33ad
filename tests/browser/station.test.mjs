// The mill's own station: a tablet signed in by a steward, who stands at it, and what it opens.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, go, sees, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

const TABLET = { viewport: { width: 1024, height: 768 }, hasTouch: true };
const PIN = '2580';

/** Sets a PIN on the page that stands open. */
async function pin(page) {
  await page.getByLabel('New PIN').fill(PIN);
  await tap(page, 'button', 'Set the PIN');
}

test('a tablet is made the station, and a change of hands is two taps and the PIN', async () => {
  const ruth = await signIn(house, 'ruth', DESK);
  await go(ruth, '/members');
  for (const name of [/Delia Marchbanks/, /^Ruth/]) {
    await go(ruth, '/members');
    await tap(ruth, 'link', name);
    await tap(ruth, 'link', 'PIN for the mill’s station');
    await pin(ruth);
  }
  const tablet = await signIn(house, 'ruth', TABLET);
  await go(tablet, '/mill/stations');
  await tablet.getByLabel('Name of the station').fill('Scale house');
  await tap(tablet, 'button', 'Make this tablet the station');
  await sees(tablet, /who stands here/);
  await sees(tablet, /stay picked for 10 minutes/);
  // Whoever is picked by large buttons: at least 84 px high, 56 px are asked of keys.
  for (const box of await tablet.locator('.hands a').all()) {
    assert.ok((await box.boundingBox()).height >= 84);
  }
  await tap(tablet, 'link', 'Delia Marchbanks');
  await tablet.getByLabel('Your PIN').fill('2581');
  await tap(tablet, 'button', 'I stand here');
  await sees(tablet, /That is not the PIN of Delia/);
  await tablet.getByLabel('Your PIN').fill(PIN);
  await tap(tablet, 'button', 'I stand here');
  await sees(tablet, /Delia Marchbanks stands here/, 'body');
  await tap(tablet, 'link', 'Today’s press day');
  // Two taps: the way that stands on every page, and a name.
  tablet.taps = 0;
  await tap(tablet, 'link', 'Change hands');
  await tap(tablet, 'link', /^Ruth/);
  assert.equal(tablet.taps, 2);
  await tablet.getByLabel('Your PIN').fill(PIN);
  await tablet.keyboard.press('Enter');
  await sees(tablet, /Ruth .* stands here/, 'body');
  // A steward is crew here, and no more.
  for (const shut of ['/members', '/mill', '/ledger', '/seasons']) {
    const answer = await go(tablet, shut);
    assert.equal(answer.status(), 403, shut);
    await sees(tablet, /opens the yard’s pages only/, 'body');
  }
  // Signed out from another device, it is nobody's.
  await go(ruth, '/mill/stations');
  await tap(ruth, 'button', 'Sign Scale house out');
  await go(tablet, '/days');
  await sees(tablet, /Sign in/);
  assert.deepEqual(tablet.faults, []);
});
