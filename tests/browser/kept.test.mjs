// Without network nothing is lost, doubled or silently changed: the line is cut before the send, between send and
// answer, and after; pages are reloaded, closed and opened; the clock is wrong; the store is full; two phones; signed out
// in between; the mill's server is killed.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PHONE, sees, signIn, start, tap, visitor, weighIn } from './house.mjs';
import { closeLines, comes, cut, deaf, keep, keepDay, measure, mended, phone as phoneOf, says, status } from './phones.mjs';

const NEW = '/days/2026-10-10/tickets/new';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);

const send = (page) => page.getByRole('button', { name: 'Open the ticket' }).click();
const keptNote = (page) => page.getByText(/^Kept on this phone: Weigh in/).waitFor();

/** Opens what is folded away: it has no inner text. */
const unfold = (page) => page.locator('main details').evaluateAll((all) => { for (const one of all) one.open = true; });

/** The tickets of the day, as another of the crew sees them: name and net. */
async function tickets() {
  const page = await signIn(house, 'ruth');
  await page.goto('/days/2026-10-10');
  await unfold(page);
  const rows = await page.locator('table tr', { has: page.locator('td[data-is="Net cane"]') }).allInnerTexts();
  await page.context().close();
  return rows.map((row) => row.replace(/\s+/g, ' ').trim());
}
const count = async (name, net) => (await tickets()).filter((row) => row.includes(name) && row.includes(net)).length;

test('a weigh-in with network goes as ever, and the line says that all is sent', async () => {
  const { page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await weighIn(page, 'Silas Wetherford', 556, 195);
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
  await weighIn(page, 'Silas Wetherford', 195, 656);
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /The tare must be less than the gross/);
  await says(page, /What this form holds is not at the mill yet/);
  await page.getByLabel('Gross').fill('657');
  await page.getByRole('textbox', { name: 'Tare' }).fill('195');
  await tap(page, 'button', 'Open the ticket');
  await sees(page, /462\.0 lb/);
  await says(page, /All sent/);
  await close();
});

test('cut off before the send: the tap is kept, the page loads again without network, and it goes once', async () => {
  const { line, page, close } = await phone();
  await keep(page, NEW);
  cut(line);
  await weighIn(page, 'Homer Yancey', 655, 195);
  await send(page);
  await keptNote(page);
  await says(page, /1 not sent yet/);
  // Another with the same page, as it stands ready for the next.
  await weighIn(page, 'Etta Brandywine', 665, 195);
  await send(page);
  await says(page, /2 not sent yet/);
  // Loaded again, closed and opened: the page is there, and so is what waits.
  await page.reload();
  await says(page, /2 not sent yet[\s\S]*as it was at/);
  await page.locator('#kept summary').click();
  assert.match(await status(page), /Weigh in, Sat 10 Oct 2026 · Homer Yancey.*Gross, lb: 655/);
  await weighIn(page, 'Jasper Loomis', 675, 195);
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
  await weighIn(page, 'Rufus Ellender', 685, 195);
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
  // The page asks the mill's clock by itself when it is opened; what was measured by the clock of before is gone then.
  await comes(page, () => new Promise((resolve) => {
    const open = indexedDB.open('canewright');
    open.onsuccess = () => {
      const fact = open.result.transaction('facts').objectStore('facts').get('ahead');
      fact.onsuccess = () => { open.result.close(); resolve(Math.abs(fact.result - 3 * 3600) <= 60); };
    };
  }));
  cut(line);
  await weighIn(page, 'Wendell Oakes-Rivera', 695, 195);
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
  await weighIn(first.page, 'Nora Castellaw', 476.5, 195);
  await send(first.page);
  await keptNote(first.page);
  await weighIn(second.page, 'Nora Castellaw', 477, 195);
  await send(second.page);
  await keptNote(second.page);
  await weighIn(second.page, 'Virgil Amberson', 855, 195);
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
  await weighIn(page, 'Clyde Fennimore', 765, 195);
  await send(page);
  await keptNote(page);
  // In this order: the worker may send by itself as soon as there is network.
  await page.context().clearCookies();
  mended(line);
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
  await weighIn(page, 'Ida Quarterman', 775, 195);
  await send(page);
  await keptNote(page);
  // In this order: the worker may send by itself as soon as there is network.
  await page.context().clearCookies();
  mended(line);
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
  await keep(page, NEW);
  const kept = () => page.evaluate(async () => (await (await caches.open('canewright-pages')).keys()).map((one) => new URL(one.url).pathname));
  assert.ok((await kept()).includes(NEW));
  // While one figure at a time is asked for there is no foot of the page, so from another page.
  await page.goto('/');
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
    await weighIn(page, 'Pearl Dockery', 195, 600);
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

test('whoever opened the day once weighs in, measures that juice and opens a boil without network; all goes in order', async () => {
  const { line, page, close } = await phone();
  // The day's pages are kept one by one; the form for a ticket of this phone is among them.
  const list = await keepDay(page);
  const lit = list.find((path) => path.startsWith('/boils/'));
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await weighIn(page, 'Silas Wetherford', 495, 195);
  await send(page);
  await page.getByText(/^Kept on this phone: Weigh in.* · ticket \d+ · /).waitFor();
  const number = (await page.locator('#kept-note').innerText()).match(/ticket (\d+)/)[1];
  await page.getByRole('link', { name: 'Measure its juice' }).click();
  await page.getByRole('heading', { name: `Juice of ticket ${number}, Silas Wetherford` }).waitFor();
  const free = await measure(page, '15.5');
  await says(page, /2 not sent yet/);
  await page.goto(lit);
  await page.getByRole('heading', { name: /^Boil / }).waitFor();
  await says(page, /2 not sent yet/);
  mended(line);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /All sent/);
  await page.goto('/days/2026-10-10');
  await unfold(page);
  const row = (await tickets()).find((words) => words.includes('Silas Wetherford') && words.includes('300.0 lb'));
  assert.match(row, new RegExp(`^${number} `), 'the ticket has the number that the phone gave it');
  await sees(page, new RegExp(`${free.split(',')[0]}[\\s\\S]*Silas Wetherford`));
  await sees(page, /Ticket numbers held by a phone of Delia Marchbanks: \d+/);
  await close();
});

test('at the pan without network: the figures say their age, what time alone brings still comes, a reading is kept', async () => {
  const { line, page, close } = await phone();
  const mill = await page.evaluate(async () => (await (await fetch('/clock')).json()).at);
  await page.clock.setSystemTime(mill * 1000);
  await page.goto('/');
  const lit = page.getByRole('listitem').filter({ hasText: 'on the fire' }).getByRole('link');
  await tap(page, 'link', await lit.first().innerText());
  await says(page, /All sent/);
  await page.evaluate(() => navigator.serviceWorker.ready);
  const call = page.locator('#live [data-weight]');
  const [now, ahead] = await call.evaluate((part) => [Number(part.dataset.now), JSON.parse(part.dataset.ahead)]);
  assert.ok(ahead.length >= 1 && ahead.every(([from], n) => from > (n === 0 ? now : ahead[n - 1][0])), JSON.stringify(ahead));
  cut(line);
  // An hour and a half of silence, by the phone's clock alone.
  const last = ahead.at(-1);
  await page.clock.setSystemTime((mill + last[0] - now + 120) * 1000);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.getByText('No connection: these figures are as they were.').waitFor();
  // One call only: what time alone has brought stands where the call stands, as loud as it is.
  await page.waitForFunction((words) => document.querySelector('#live .call strong').textContent === words, last[2]);
  assert.equal(await call.getAttribute('class'), `call ${last[1]}`);
  const lost = await page.locator('#lost').innerText();
  assert.match(lost, /That was \d+ min ago; the call below goes on by time alone/);
  assert.ok(!lost.includes(last[2]), lost);
  if (last[1] === 'alarm') assert.equal(await page.evaluate(() => document.body.dataset.weight), 'alarm');
  const box = page.getByRole('textbox', { name: 'Temperature of the pan' });
  await box.fill(await box.getAttribute('placeholder'));
  await page.getByRole('button', { name: 'Note the reading' }).last().click();
  await page.getByText(/^Kept on this phone: Reading · Boil/).waitFor();
  await says(page, /1 not sent yet/);
  await close();
});

test('a page kept on the phone shows the store of a phone that is full while typing: the form stays, and says so', async () => {
  const { line, page, close } = await phone();
  await keep(page, NEW);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await page.evaluate(() => { IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }; });
  await weighIn(page, 'Opal Jernigan', 599, 195);
  await send(page);
  await says(page, /store is full/);
  assert.equal(await page.getByLabel('Gross').inputValue(), '599', 'what was typed stands there');
  await close();
});
