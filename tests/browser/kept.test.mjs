// Without network nothing is lost, doubled or silently changed: the line is cut before the send, between send and
// answer, and after; pages are reloaded, closed and opened; the clock is wrong; the store is full; two phones; signed out
// in between; the mill's server is killed.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PHONE, sees, signIn, start, tap, visitor } from './house.mjs';
import { wire } from './wire.mjs';

const NEW = '/days/2026-10-10/tickets/new';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** A phone behind a bad line, signed in as one of the crew. */
async function phone(options = PHONE, name = 'delia') {
  const line = await wire(house.url);
  const page = await signIn({ ...house, url: line.url }, name, options);
  const close = async () => { await page.context().close(); await line.close(); };
  return { line, page, close };
}

/** Cuts the line: nothing gets through. */
const cut = (line) => { line.fate = () => 'cut'; };
const mended = (line) => { line.fate = () => 'through'; };
/** Everything gets to the mill, and no answer to a form comes back. */
const deaf = (line) => { line.fate = (method) => (method === 'POST' ? 'deaf' : 'through'); };

/** What the line on the page says. */
const status = (page) => page.locator('#kept').innerText();
const says = (page, words) => page.waitForFunction((source) => new RegExp(source).test(document.getElementById('kept')?.innerText ?? ''), words.source);

/** Fills the boxes of a weigh-in of a walk-in. */
async function weighIn(page, name, gross, tare) {
  const whose = page.getByLabel('Whose cane');
  const option = await whose.locator('option', { hasText: `${name}, no.` }).first().getAttribute('value');
  await whose.selectOption(option);
  await page.getByLabel('Gross').fill(String(gross));
  await page.getByLabel('Tare').fill(String(tare));
}
const send = (page) => page.getByRole('button', { name: 'Open the ticket' }).click();
const keptNote = (page) => page.getByText(/^Kept on this phone: Weigh in/).waitFor();

/** The tickets of the day, as another of the crew sees them: name and net. */
async function tickets() {
  const page = await signIn(house, 'ruth');
  await page.goto('/days/2026-10-10');
  const rows = await page.locator('table tr', { has: page.locator('td[data-is="Net cane"]') }).allInnerTexts();
  await page.context().close();
  return rows.map((row) => row.replace(/\s+/g, ' '));
}
const count = async (name, net) => (await tickets()).filter((row) => row.includes(name) && row.includes(net)).length;

test('a weigh-in with network goes as ever, and the line says that all is sent', async () => {
  const { page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await weighIn(page, 'Silas Wetherford', 401, 40);
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /361\.0 lb/);
  await says(page, /All sent/);
  assert.deepEqual(page.faults, []);
  await close();
});

test('a form that is wrong comes back beside its boxes, and goes once it is mended', async () => {
  const { page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await weighIn(page, 'Silas Wetherford', 40, 501);
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /The tare must be less than the gross/);
  await says(page, /All sent/);
  await page.getByLabel('Gross').fill('502');
  await page.getByLabel('Tare').fill('40');
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /462\.0 lb/);
  await says(page, /All sent/);
  await close();
});

test('cut off before the send: the tap is kept, the page loads again without network, and it goes once', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.goto(NEW);
  cut(line);
  await weighIn(page, 'Homer Yancey', 500, 40);
  await send(page);
  await keptNote(page);
  await says(page, /1 not sent yet/);
  // Another with the same page, as it stands ready for the next.
  await weighIn(page, 'Etta Brandywine', 510, 40);
  await send(page);
  await says(page, /2 not sent yet/);
  // Loaded again, closed and opened: the page is there, and so is what waits.
  await page.reload();
  await says(page, /2 not sent yet[\s\S]*as it was at/);
  await page.locator('#kept summary').click();
  assert.match(await status(page), /Weigh in, Sat 10 Oct 2026 · Homer Yancey.*Gross, lb: 500/);
  await weighIn(page, 'Jasper Loomis', 520, 40);
  await send(page);
  await says(page, /3 not sent yet/);
  const context = page.context();
  await page.close();
  const again = await context.newPage();
  again.scripted = true;
  await again.goto(NEW);
  await says(again, /3 not sent yet/);
  mended(line);
  await again.evaluate(() => dispatchEvent(new Event('online')));
  await says(again, /All sent/);
  for (const [name, net] of [['Homer Yancey', '460.0 lb'], ['Etta Brandywine', '470.0 lb'], ['Jasper Loomis', '480.0 lb']]) {
    assert.equal(await count(name, net), 1, name);
  }
  await close();
});

test('cut off between send and answer: the mill has it, the phone sends it again, and it stands once', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  deaf(line);
  await weighIn(page, 'Rufus Ellender', 530, 40);
  await send(page);
  await keptNote(page);
  assert.ok(line.posts >= 1, 'the mill got it');
  assert.equal(await count('Rufus Ellender', '490.0 lb'), 1);
  await says(page, /1 not sent yet/);
  mended(line);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /All sent/);
  assert.equal(await count('Rufus Ellender', '490.0 lb'), 1);
  await close();
});

test('a phone whose clock is three hours fast: the record has the true time, and the page says whence it came', async () => {
  const { line, page, close } = await phone();
  const mill = async () => (await (await fetch('/clock')).json()).at;
  await page.clock.setSystemTime((await page.evaluate(mill) + 3 * 3600) * 1000);
  await page.goto(NEW);
  await says(page, /All sent/);
  cut(line);
  await weighIn(page, 'Wendell Oakes-Rivera', 540, 40);
  await send(page);
  await keptNote(page);
  // What it says of the tap is what the store holds: the mill's clock was measured when the page was opened.
  const said = await page.evaluate(() => new Promise((resolve) => {
    const open = indexedDB.open('canewright');
    open.onsuccess = () => {
      const all = open.result.transaction('entries').objectStore('entries').getAll();
      all.onsuccess = () => { open.result.close(); resolve(all.result[0]); };
    };
  }));
  mended(line);
  assert.ok(Math.abs(said.ahead - 3 * 3600) <= 60, `${said.ahead} s ahead`);
  const off = Math.abs(said.tapped - said.ahead - await page.evaluate(mill));
  assert.ok(off <= 15, `${off} s between the tap by the mill’s clock and the mill’s clock just after`);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /All sent/);
  assert.equal(await count('Wendell Oakes-Rivera', '500.0 lb'), 1);
  await close();
});

test('two phones weigh one load: the second comes back with both shown, and blocks nothing else', async () => {
  const first = await phone();
  const second = await phone(PHONE, 'ruth');
  for (const { page } of [first, second]) {
    await page.goto(NEW);
    await says(page, /All sent/);
  }
  cut(first.line);
  cut(second.line);
  await weighIn(first.page, 'Nora Castellaw', 321.5, 40);
  await send(first.page);
  await keptNote(first.page);
  await weighIn(second.page, 'Nora Castellaw', 322, 40);
  await send(second.page);
  await keptNote(second.page);
  await weighIn(second.page, 'Virgil Amberson', 700, 40);
  await send(second.page);
  await says(second.page, /2 not sent yet/);
  for (const { line, page } of [first, second]) {
    mended(line);
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await says(page, page === first.page ? /All sent/ : /1 needs you/);
  }
  assert.equal(await count('Nora Castellaw', '281.5 lb') + await count('Nora Castellaw', '282.0 lb'), 1);
  assert.equal(await count('Virgil Amberson', '660.0 lb'), 1, 'what came after is not held up');
  await second.page.locator('#kept summary').click();
  assert.match(await status(second.page), /The same load\? Nora Castellaw has 281\.5 lb on ticket \d+, weighed by Delia/);
  await second.page.getByRole('button', { name: 'Mend it' }).click();
  await second.page.getByLabel('It is another load').check();
  await tap(second.page, 'button', 'Open the ticket');
  await sees(second.page, /282\.0 lb/);
  await says(second.page, /All sent/);
  assert.equal(await count('Nora Castellaw', '281.5 lb') + await count('Nora Castellaw', '282.0 lb'), 2);
  await first.close();
  await second.close();
});

test('signed out in between: all is still there, and goes after signing in again', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  cut(line);
  await weighIn(page, 'Clyde Fennimore', 610, 40);
  await send(page);
  await keptNote(page);
  mended(line);
  await page.context().clearCookies();
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /1 not sent yet[\s\S]*You are signed out/);
  assert.equal(await count('Clyde Fennimore', '570.0 lb'), 0);
  await tap(page, 'link', 'Sign in again');
  await page.getByLabel('Name').fill('delia');
  await page.getByLabel('Passphrase').fill('press day in october');
  await tap(page, 'button', 'Sign in');
  await says(page, /All sent/);
  assert.equal(await count('Clyde Fennimore', '570.0 lb'), 1);
  await close();
});

test('what one tapped goes under that name only: somebody else who signs in sends nothing of it', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  cut(line);
  await weighIn(page, 'Ida Quarterman', 620, 40);
  await send(page);
  await keptNote(page);
  mended(line);
  await page.context().clearCookies();
  await page.goto('/sign-in');
  await page.getByLabel('Name').fill('ruth');
  await page.getByLabel('Passphrase').fill('press day in october');
  await tap(page, 'button', 'Sign in');
  await says(page, /1 not sent yet[\s\S]*What Delia Marchbanks tapped goes when Delia Marchbanks signs in/);
  assert.equal(await count('Ida Quarterman', '580.0 lb'), 0);
  await close();
});

test('after signing out no page of the person before is left on the phone', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.goto(NEW);
  await says(page, /All sent/);
  const kept = () => page.evaluate(async () => (await (await caches.open('canewright-pages')).keys()).map((one) => new URL(one.url).pathname));
  assert.ok((await kept()).includes(NEW));
  await tap(page, 'button', 'Sign out');
  assert.deepEqual(await kept(), []);
  cut(line);
  await page.goto(NEW);
  await sees(page, /was not opened on this phone/);
  await close();
});

test('a store that is full, a browser without a store, and plain http are said before anything is typed', async () => {
  const words = [
    [() => { Object.defineProperty(window, 'indexedDB', { value: undefined }); delete window.indexedDB; Object.defineProperty(Navigator.prototype, 'locks', { value: undefined }); }, /keeps nothing without network/],
    [() => { Object.defineProperty(window, 'isSecureContext', { value: false }); }, /came without https, so nothing can be kept/],
    [() => {
      const put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function full(...all) { if (window.roomy) return put.apply(this, all); throw new DOMException('full', 'QuotaExceededError'); };
    }, /store is full: nothing more can be kept/],
  ];
  for (const [script, said] of words) {
    const page = await signIn(house, 'delia');
    await page.addInitScript(script);
    await page.goto(NEW);
    await says(page, said);
    // The form goes the plain way, and comes back as it always did.
    await weighIn(page, 'Pearl Dockery', 40, 600);
    await tap(page, 'button', 'Open the ticket');
    await sees(page, /The tare must be less than the gross/);
    await page.context().close();
  }
});

test('without scripts nothing of this is there, and the forms work', async () => {
  const page = await visitor(house, { ...PHONE, javaScriptEnabled: false });
  await page.goto('/sign-in');
  await page.getByLabel('Name').fill('delia');
  await page.getByLabel('Passphrase').fill('press day in october');
  await tap(page, 'button', 'Sign in');
  await page.goto(NEW);
  assert.equal(await page.locator('#kept').isVisible(), false);
  await page.context().close();
});
