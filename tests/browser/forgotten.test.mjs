// A member who has left is forgotten on a phone, without scripts; nothing on the pages and no byte of the file names the member then.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { go, misses, PASSPHRASE, PHONE, sees, signIn, start, tap } from './house.mjs';

const NAME = 'Wendell Oakes-Rivera';
let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** The files of the database that hold the words, whatever the case. */
function filesWith(words) {
  const files = readdirSync(house.scratch).filter((name) => name.startsWith('demo.db'));
  return files.filter((name) => readFileSync(join(house.scratch, name)).toString('latin1').toLowerCase().includes(words));
}

test('a steward forgets a member who has left, and the name is found nowhere any more', async () => {
  const page = await signIn(house, 'ruth', { ...PHONE, javaScriptEnabled: false });
  await go(page, '/members');
  await tap(page, 'link', NAME);
  const card = new URL(page.url()).pathname;
  await misses(page, /Forget this member/);
  assert.ok(filesWith('oakes-rivera').length > 0, 'the name stands in the file');
  await tap(page, 'button', 'Let the member go');
  await go(page, card);
  await tap(page, 'link', 'Forget this member …');
  await sees(page, /What goes/);
  await sees(page, /“Member 9” stands there/);
  await page.getByLabel('Single words to take out of notes as well').fill('Wendell\nOakes-Rivera');
  await page.getByLabel('Your passphrase').fill('not hers');
  await tap(page, 'button', 'Forget this member');
  await sees(page, /That is not your passphrase/);
  const typed = await page.getByLabel('Single words to take out of notes as well').inputValue();
  assert.equal(typed.replaceAll('\r', ''), 'Wendell\nOakes-Rivera', 'what was typed is kept');
  await page.getByLabel('Your passphrase').fill(PASSPHRASE);
  await tap(page, 'button', 'Forget this member');
  await sees(page, /This member was forgotten on/);
  assert.deepEqual(page.faults, []);

  await go(page, `${card}/statement/2026`);
  await sees(page, /Member 9: statement 2026/);
  await misses(page, /Oakes/);
  await go(page, '/find?what=Oakes');
  await misses(page, /Wendell|Oakes-Rivera/);
  await go(page, '/members?show=all');
  await sees(page, /Member 9/);
  await misses(page, /Wendell/);
  assert.deepEqual(filesWith('oakes-rivera'), [], 'no byte of the file names the member');

  const desk = await signIn(house, 'ruth');
  await go(desk, card);
  await sees(desk, /the name and every way to reach the person are gone/);
  assert.deepEqual(desk.faults, []);
});
