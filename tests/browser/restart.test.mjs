// The power at the mill fails: the server is killed between storing an entry and answering it, and started again.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { BINARY, PASSPHRASE, PHONE, signIn, start, tap, weighIn } from './house.mjs';
import { keep } from './phones.mjs';
import { wire } from './wire.mjs';

const NEW = '/days/2026-10-10/tickets/new';

let house;
/** What a test that fails on its way would leave running. */
const running = new Set();
before(async () => { house = await start(); });
after(async () => {
  for (const server of running) server.kill('SIGKILL');
  await house.stop();
});

/** Starts the program and waits until it serves; gives the process and its address. */
function program(...words) {
  const server = spawn(BINARY, words, { env: { PATH: process.env.PATH, RUST_LOG: 'warn' } });
  running.add(server);
  server.once('exit', () => running.delete(server));
  let said = '';
  return new Promise((resolve, reject) => {
    server.once('exit', () => reject(new Error(`it did not start: ${said}`)));
    server.stdout.on('data', (text) => {
      said += text;
      const found = said.match(/Serving on (\S+)\n/);
      if (found) resolve({ server, url: found[1] });
    });
  });
}

test('killed after it stored and before it answered, then started again: the entry goes again and stands once', async () => {
  const database = join(house.scratch, 'killed.db');
  const first = await program('demo', '--database', database, '--listen', '127.0.0.1:0');
  const line = await wire(first.url);
  after(() => line.close());
  const page = await signIn({ ...house, url: line.url }, 'delia', PHONE);
  const says = (words) => page.waitForFunction((source) => new RegExp(source).test(document.getElementById('kept')?.innerText ?? ''), words.source);
  // The worker serves the page once the power is gone, so it must have it first.
  await keep(page, NEW);
  await says(/All sent/);
  line.fate = (method) => (method === 'POST' ? 'deaf' : 'through');
  await weighIn(page, 'Homer Yancey', 500, 40);
  // A time that is typed: the program that starts again has another clock than the demo's.
  await page.getByText('Cane: not said').click();
  await page.getByLabel('Weighed at').fill('8:00');
  await page.getByRole('button', { name: 'Open the ticket' }).click();
  await says(/1 not sent yet/);
  const stands = () => {
    const book = new DatabaseSync(database, { readOnly: true });
    const found = book.prepare(`select count(*) as n from loads where gross_g = 226796`).get().n;
    book.close();
    return found;
  };
  assert.equal(stands(), 1, 'it was stored before the power failed');
  line.fate = () => 'cut';
  first.server.kill('SIGKILL');
  await once(first.server, 'exit');
  await page.reload();
  await says(/1 not sent yet/);

  const second = await program('serve', '--database', database, '--listen', new URL(first.url).host);
  line.fate = () => 'through';
  await page.evaluate(() => dispatchEvent(new Event('online')));
  // The demo’s clock is not this machine’s: the session may have ended meanwhile.
  await says(/All sent|You are signed out/);
  if (await page.getByRole('link', { name: 'Sign in again' }).count() > 0) {
    await tap(page, 'link', 'Sign in again');
    await page.getByLabel('Name').fill('delia');
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await tap(page, 'button', 'Sign in');
  }
  await says(/All sent/);
  assert.equal(stands(), 1, 'sent again, it stands once');
  await page.context().close();
  second.server.kill('SIGTERM');
  await once(second.server, 'exit');
});
