// Signing in and out, with scripts and without, and an invitation used by somebody new.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, go, PASSPHRASE, PHONE, sees, signIn, start, tap, visitor } from './house.mjs';

let house;
before(async () => { house = await start({ known: true }); });
after(async () => { await house.stop(); });

const WAYS = [['with scripts', PHONE], ['without scripts', { ...PHONE, javaScriptEnabled: false }]];
for (const [how, options] of WAYS) {
  test(`a member signs in and out ${how}, and a wrong passphrase keeps the name`, async () => {
    const page = await visitor(house, options);
    await go(page, '/');
    assert.equal(new URL(page.url()).pathname, '/sign-in', 'home leads to the sign-in page');
    await page.getByLabel('Name').fill('otis');
    await page.getByLabel('Passphrase').fill('not the passphrase');
    await tap(page, 'button', 'Sign in');
    await sees(page, /Name and passphrase do not belong together/);
    assert.equal(await page.getByLabel('Name').inputValue(), 'otis', 'the name typed is kept');
    assert.equal(await page.getByLabel('Passphrase').inputValue(), '', 'a passphrase is never sent back');
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await tap(page, 'button', 'Sign in');
    await sees(page, /Good day, Otis Pruittmoore/);
    await tap(page, 'button', 'Sign out');
    await page.goto('/members');
    assert.equal(new URL(page.url()).pathname, '/sign-in', 'signed out, a page leads to the sign-in page');
    await page.goBack();
    await page.reload();
    assert.equal(new URL(page.url()).pathname, '/sign-in', 'the Back button shows nothing of before');
    assert.deepEqual(page.faults, []);
  });
}

test('a page asked for before signing in opens after it', async () => {
  const page = await visitor(house);
  await page.goto('/days/2026-10-17');
  await page.getByLabel('Name').fill('otis');
  await page.getByLabel('Passphrase').fill(PASSPHRASE);
  await tap(page, 'button', 'Sign in');
  assert.equal(new URL(page.url()).pathname, '/days/2026-10-17');
});

test('a steward invites, the new member joins in another browser, and the card works once', async () => {
  const steward = await signIn(house, 'ruth', DESK);
  await tap(steward, 'link', 'Members');
  await tap(steward, 'link', 'Beulah Crabtree-Okafor');
  await tap(steward, 'button', 'Make an invitation');
  await sees(steward, /It works once/);
  assert.ok(await steward.getByRole('img', { name: /QR code of the invitation/ }).isVisible());
  const link = (await steward.locator('.card .code').innerText()).trim();
  assert.match(link, new RegExp(`^${house.url}/join/[0-9A-Za-z_-]{22,}$`));

  const member = await visitor(house);
  await go(member, link);
  await sees(member, /This invitation is for Beulah Crabtree-Okafor/);
  await member.getByLabel('Choose a name').fill('beulah');
  await member.getByLabel('Choose a passphrase').fill('short');
  await tap(member, 'button', 'Join');
  await sees(member, /At least 8 characters|eight characters|8 characters/i);
  assert.equal(await member.getByLabel('Choose a name').inputValue(), 'beulah');
  await member.getByLabel('Choose a passphrase').fill('cane rows after the first frost');
  await tap(member, 'button', 'Join');
  await sees(member, /Good day, Beulah Crabtree-Okafor/);

  const other = await visitor(house);
  const answer = await go(other, link);
  assert.notEqual(answer.status(), 200, 'a used invitation opens nothing');
  await go(other, '/sign-in');
  await other.getByLabel('Name').fill('beulah');
  await other.getByLabel('Passphrase').fill('cane rows after the first frost');
  await tap(other, 'button', 'Sign in');
  await sees(other, /Good day, Beulah Crabtree-Okafor/);
  await steward.reload();
  await go(steward, '/members');
  const row = steward.getByRole('row').filter({ hasText: 'Beulah' });
  assert.doesNotMatch(await row.innerText(), /no account yet/);
});
