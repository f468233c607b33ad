// A member's own pages without network: home, the turn and what was looked at last are shown as they stood, and say of
// when they are; signed out, nothing of them is left. And the site can be set up beside other programs.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { axe, misses, sees, signIn, start, tap } from './house.mjs';
import { closeLines, comes, cut, mended, phone } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});

/** Until so many of a member's pages are kept on the phone. */
const kept = (page, least) => comes(page, async (n) => (await (await caches.open('canewright-mine')).keys()).length >= n, least);
const AS_OF = /As of .*\d\d:\d\d\. There is no network now/;

test('home, the turn and pages looked at are read without network, and say of when they are', async () => {
  const { line, page, close } = await phone(house, undefined, 'june');
  await sees(page, /Where your cane is/);
  const turn = page.locator('section.now a').first();
  const href = await turn.getAttribute('href');
  // Home, and each page that its cards lead to.
  const under = await page.locator('section.now a').evaluateAll((all) => [...new Set(all.map((one) => new URL(one.href).pathname))]);
  await kept(page, 1 + under.length);
  const statement = await page.getByRole('link', { name: /season’s statement/ }).getAttribute('href');
  await page.goto(statement);
  await sees(page, /What you brought/);
  await kept(page, 2 + under.length);
  await misses(page, /There is no network/, 'body');
  const said = await page.locator('main').innerText();
  cut(line);
  await page.reload();
  await sees(page, AS_OF, 'body');
  assert.equal(await page.locator('main').innerText(), said, 'the statement as it stood');
  await axe(page);
  await page.goto('/');
  await sees(page, AS_OF, 'body');
  await sees(page, /Where your cane is/);
  await page.goto(href);
  await sees(page, AS_OF, 'body');
  // What was never looked at says so, and leads home.
  await page.goto('/seasons');
  await sees(page, /This page was not opened on this phone before the network went/);
  await axe(page);
  await tap(page, 'link', /Home/);
  await sees(page, /Where your cane is/);
  mended(line);
  await page.reload();
  await misses(page, /There is no network/, 'body');
  await close();
});

test('signed out, nothing is left to read', async () => {
  const { line, page, close } = await phone(house, undefined, 'june');
  await kept(page, 1);
  await tap(page, 'button', 'Sign out');
  assert.deepEqual(await page.evaluate(() => caches.has('canewright-mine')), false);
  cut(line);
  await page.goto('/');
  await sees(page, /No network/);
  await misses(page, /Where your cane is/);
  await close();
});

test('a session ended on another device leaves nothing to read once the mill was asked', async () => {
  const { line, page, close } = await phone(house, undefined, 'otis');
  await kept(page, 1);
  await page.context().clearCookies();
  await page.goto('/');
  await page.getByLabel('Passphrase').waitFor();
  await comes(page, async () => !(await caches.has('canewright-mine')));
  cut(line);
  await page.goto('/');
  await misses(page, /Where your cane is/);
  await close();
});

test('the site says how it is set up beside other programs', async () => {
  const page = await signIn(house, 'june');
  const client = await page.context().newCDPSession(page);
  const { errors, manifest } = await client.send('Page.getAppManifest').then((told) => ({ errors: told.errors, manifest: JSON.parse(told.data) }));
  assert.deepEqual(errors, []);
  assert.equal(manifest.start_url, '/');
  const { installabilityErrors } = await client.send('Page.getInstallabilityErrors');
  // The browser under test has no profile of its own to set anything up in; nothing else is missing.
  const missing = installabilityErrors.map((error) => error.errorId).filter((id) => id !== 'in-incognito');
  assert.deepEqual(missing, []);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
