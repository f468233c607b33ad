// A phone without room: the browser's own quota is set to nothing, as a full phone does it. What was kept before still goes,
// pages come from the mill as they are now, and what is typed meanwhile is neither lost nor held back. And a tap that comes
// before the phone's store is open.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { sees, start, tap, weighIn } from './house.mjs';
import { closeLines, cut, keep, mended, phone as phoneOf, says } from './phones.mjs';

const DAY = '/days/2026-10-10';
const NEW = `${DAY}/tickets/new`;

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const send = (page) => page.getByRole('button', { name: 'Open the ticket' }).click();

/** How many loads of the mill's file weigh so much before the tare, lb. */
function loads(gross) {
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const found = book.prepare('select count(*) as n from loads where abs(gross_g - ?) < 5').get(gross * 453.59237);
  book.close();
  return found.n;
}

/** Makes a phone that can be filled: its pages' store takes nothing while `room` is set to "none". */
async function fillable(page) {
  await page.addInitScript(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function asTold(...all) {
      const room = localStorage.getItem('room');
      const large = JSON.stringify(all[0] ?? '').length > 4000;
      if (room === 'none' || (room === 'little' && large)) throw new DOMException('full', 'QuotaExceededError');
      return put.apply(this, all);
    };
  });
}

/** Fills the phone or makes room: the browser's own quota for pages, and the store of entries. */
async function room(page, line, is) {
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Storage.overrideQuotaForOrigin', { origin: line.url, ...(is ? {} : { quotaSize: 1 }) });
  await page.evaluate((words) => localStorage.setItem('room', words), is ? 'some' : 'none');
}

/** A phone that can be filled, on a kept page, with its line cut. */
async function cutOff() {
  const one = await phone();
  await fillable(one.page);
  await keep(one.page, DAY);
  await keep(one.page, NEW);
  cut(one.line);
  return one;
}
const kept = (page) => page.getByText(/^Kept on this phone: Weigh in/).waitFor();

test('what waits on a phone that is full now goes when the network is back, and pages are the mill’s own', async () => {
  const { line, page, close } = await cutOff();
  await weighIn(page, 'Homer Yancey', 701, 195);
  await send(page);
  await kept(page);
  await weighIn(page, 'Etta Brandywine', 702, 195);
  await send(page);
  await says(page, /2 not sent yet/);
  await room(page, line, false);
  await assert.rejects(page.evaluate(async () => (await caches.open('try')).put('/try', new Response('x'.repeat(9000)))), /Quota/);
  // Another page of the phone, opened on a full store while the network is away, then with it.
  await page.goto(NEW);
  await says(page, /store is full/);
  mended(line);
  await page.goto(DAY);
  assert.equal(await page.evaluate(() => document.body.dataset.seen), undefined, 'the page is fresh');
  for (const gross of [701, 702]) {
    for (let n = 0; n < 100 && loads(gross) === 0; n += 1) await page.waitForTimeout(100);
    assert.equal(loads(gross), 1, `${gross} lb stands once`);
  }
  // What is typed now goes the plain way, and stands once.
  await page.goto(NEW);
  await weighIn(page, 'Jasper Loomis', 703, 195);
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /508\.0 lb/);
  assert.equal(loads(703), 1);
  // With room again all is as ever.
  await room(page, line, true);
  await page.goto(NEW);
  await says(page, /All sent/);
  assert.deepEqual(page.faults.filter((fault) => !/ERR_|Failed to (load|fetch)/.test(fault)), []);
  await close();
});

test('a page opened on a full phone without network keeps what is typed in its boxes, and says so', async () => {
  const { line, page, close } = await cutOff();
  await room(page, line, false);
  await page.goto(NEW);
  await says(page, /store is full/);
  await weighIn(page, 'Opal Jernigan', 704, 195);
  await send(page);
  await says(page, /store is full[\s\S]*What you typed stands here still/);
  assert.equal(await page.getByLabel('Gross').inputValue(), '704');
  mended(line);
  await send(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  await sees(page, /509\.0 lb/);
  assert.equal(loads(704), 1);
  await room(page, line, true);
  await close();
});

/** A page that came from the mill just now, on a phone that keeps nothing, as the network goes: what is typed is not lost. */
async function typedAsTheLineGoes(one, name, gross, warned) {
  const { line, page, close } = one;
  await page.goto(NEW);
  await says(page, warned);
  assert.equal(await page.evaluate(() => document.body.dataset.seen), undefined, 'the page is fresh');
  cut(line);
  await weighIn(page, name, gross, 195);
  await send(page);
  await says(page, /What you typed stands here still: send it again when there is network/);
  assert.equal(await page.getByLabel('Gross').inputValue(), String(gross));
  assert.equal(await page.locator('#f-tare').inputValue(), '195');
  assert.equal(loads(gross), 0);
  mended(line);
  await send(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  assert.equal(loads(gross), 1);
  await close();
}

test('on a full phone a page opened with network keeps what is typed when the network is gone at the tap', async () => {
  const one = await phone();
  await fillable(one.page);
  await one.page.goto(DAY);
  await room(one.page, one.line, false);
  await typedAsTheLineGoes(one, 'Nora Castellaw', 711, /store is full/);
});

test('so does a browser that lets nothing be kept at all', async () => {
  const one = await phone();
  await one.page.addInitScript(() => { IDBFactory.prototype.open = () => { throw new DOMException('no', 'InvalidStateError'); }; });
  await typedAsTheLineGoes(one, 'Virgil Amberson', 722, /lets nothing be kept/);
});

test('a tap that comes before the store is open waits for it, and is kept', async () => {
  const { line, page, close } = await cutOff();
  await page.addInitScript(() => {
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function late(...all) {
      const asked = open.apply(this, all);
      const told = asked.addEventListener.bind(asked);
      // Whoever waits for the store hears of it three seconds later.
      asked.addEventListener = (kind, hear, more) => told(kind, kind === 'success' ? (event) => setTimeout(() => hear(event), 3000) : hear, more);
      return asked;
    };
  });
  await page.goto(NEW);
  await weighIn(page, 'Homer Yancey', 905, 195);
  await send(page);
  await kept(page);
  mended(line);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /All sent/);
  assert.equal(loads(905), 1);
  await close();
});

test('on a full phone the second entry of a page is not taken for the first', async () => {
  const { line, page, close } = await phone();
  await fillable(page);
  await page.goto(NEW);
  await says(page, /All sent/);
  cut(line);
  await weighIn(page, 'Opal Jernigan', 1001, 195);
  await send(page);
  await kept(page);
  await page.evaluate(() => localStorage.setItem('room', 'none'));
  mended(line);
  await weighIn(page, 'Homer Yancey', 1302, 195);
  await send(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  for (const gross of [1001, 1302]) {
    for (let n = 0; n < 100 && loads(gross) === 0; n += 1) await page.waitForTimeout(100);
    assert.equal(loads(gross), 1, `${gross} lb stands once`);
  }
  await close();
});

test('what the mill refuses is said too where the phone has no room for its answer', async () => {
  const { page, close } = await phone();
  await fillable(page);
  await page.goto(NEW);
  await says(page, /All sent/);
  await page.evaluate(() => localStorage.setItem('room', 'little'));
  await weighIn(page, 'Etta Brandywine', 195, 1403);
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /The tare must be less than the gross/);
  await close();
});

test('a store that opens and then fails keeps no form from being sent', async () => {
  const { page, close } = await phone();
  await page.addInitScript(() => {
    IDBObjectStore.prototype.getAll = () => { throw new DOMException('lost', 'UnknownError'); };
  });
  await page.goto(NEW);
  await weighIn(page, 'Opal Jernigan', 757, 195);
  await send(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  assert.equal(loads(757), 1);
  await close();
});

test('on a full phone what came back is shown to be mended all the same', async () => {
  const { line, page, close } = await cutOff();
  // The scale carries less, which only the mill knows.
  await weighIn(page, 'Etta Brandywine', 39605, 195);
  await send(page);
  await kept(page);
  mended(line);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /1 needs you/);
  await page.evaluate(() => localStorage.setItem('room', 'none'));
  await page.locator('#kept summary').click();
  await page.getByRole('button', { name: 'Mend it' }).click();
  await says(page, /store is full/);
  assert.deepEqual(page.faults.filter((fault) => !/ERR_|Failed to (load|fetch)/.test(fault)), []);
  // The mill is asked once more before the form that came back is shown.
  await sees(page, /This scale carries/);
  await close();
});
