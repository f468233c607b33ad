// A network that comes and goes: what was sent a moment ago is not forgotten by pages that were kept before, the turn that was
// tapped is the one that is weighed, forms that say nothing are not kept, and numbers and times are what they should be.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, PHONE, axe, signIn, start, tap, weigh, weighIn } from './house.mjs';
import { asked, closeLines, comes, cut, cutAtWeighIn, DAY, keep, keepDay, litLot, mended, NEW, note, online, openTicket, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const stands = (sql, ...of) => standsAt(house, sql, ...of);

const toCome = (page, name) => page.getByRole('listitem').filter({ hasText: name }).first();

/** A fact of the phone's store. */
const fact = (page, name) => page.evaluate((of) => new Promise((resolve) => {
  const open = indexedDB.open('canewright');
  open.onsuccess = () => {
    const got = open.result.transaction('facts').objectStore('facts').get(of);
    got.onsuccess = () => { open.result.close(); resolve(got.result); };
  };
}), name);
/** Puts a fact into the phone's store. */
const noteFact = (page, name, value) => page.evaluate(([of, is]) => new Promise((resolve) => {
  const open = indexedDB.open('canewright');
  open.onsuccess = () => {
    const put = open.result.transaction('facts', 'readwrite');
    put.objectStore('facts').put(is, of);
    put.oncomplete = () => { open.result.close(); resolve(); };
  };
}), [name, value]);

/** Weighs in whoever's turn it is, on a page on which that turn is to be chosen. */
async function ofTurn(page, name, gross, tare) {
  await page.locator('#f-whose label', { hasText: name }).click();
  await weigh(page, gross, tare);
  await openTicket(page);
}

test('without network the turn that was tapped is chosen, though only another one’s page was opened before', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const ways = page.locator('main a[href*="/tickets/new?turn="]');
  const [first, second] = await ways.evaluateAll((all) => [...new Set(all.map((one) => one.getAttribute('href')))]);
  await keep(page, first);
  for (const path of [NEW, DAY]) await page.goto(path);
  await says(page, /All sent/);
  cut(line);
  for (const [path, here] of [[second, 2], [first, 1]]) {
    await page.goto(path);
    await says(page, /as it was at/);
    const turn = await page.locator('input[name=whose]:checked').inputValue();
    assert.equal(turn, `turn:${new URL(path, house.url).searchParams.get('turn')}`, `the turn of way ${here}`);
  }
  // The page by itself has no turn chosen.
  await page.goto(NEW);
  await says(page, /as it was at/);
  assert.equal(await page.locator('input[name=whose]:checked').count(), 0);
  await close();
});

test('a ticket that was sent in a moment of network is known on pages of before, and its turn is not weighed twice', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await ofTurn(page, 'June Hollowell', '545.5', '195');
  await note(page).getByText(/^Kept on this phone: Weigh in.* · ticket \d+/).waitFor();
  const number = (await note(page).innerText()).match(/ticket (\d+)/)[1];
  const juice = await note(page).getByRole('link', { name: 'Measure its juice' }).getAttribute('href');
  // What waits goes, and no page comes.
  line.fate = (method, path) => (method === 'POST' || path === '/clock' ? 'through' : 'cut');
  await online(page);
  await says(page, /All sent/);
  await note(page).getByText(/^The mill has it: Weigh in/).waitFor();
  cut(line);
  await page.goto(DAY);
  await says(page, /as it was at/);
  await toCome(page, '12:30 June Hollowell').getByText(`weighed, ticket ${number}`).waitFor();
  await page.locator('#kept-here').getByText(`Ticket ${number}, June Hollowell: at the mill; this page is from before that.`).waitFor();
  await axe(page);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await ofTurn(page, 'June Hollowell', '545.5', '195');
  await asked(page).getByText(new RegExp(`weighed in on this phone already, on ticket ${number}, June Hollowell`)).waitFor();
  assert.match(await status(page), /All sent/);
  await page.goto(juice);
  await page.getByRole('heading', { name: `Juice of ticket ${number}, June Hollowell` }).waitFor();
  assert.doesNotMatch(await page.locator('main').innerText(), /goes to the mill before/);
  // With network the mill's page knows it, and what was noted says no more.
  mended(line);
  await page.goto(DAY);
  await says(page, /All sent/);
  assert.equal(await page.locator('#kept-here').count(), 0);
  // Whoever signs in next finds none of it on the phone.
  assert.equal((await fact(page, 'sent')).length, 1);
  await tap(page, 'button', 'Sign out');
  await page.waitForURL(/sign-in/);
  assert.deepEqual(await fact(page, 'sent'), []);
  await close();
});

test('once what waited has gone, the pages of the day are kept anew', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await weighIn(page, 'Homer Yancey', 655.5, 195);
  await openTicket(page);
  await says(page, /1 not sent yet/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  await comes(page, async (day) => (await (await (await caches.open('canewright-pages')).match(day)).text()).includes('460.5'), DAY);
  cut(line);
  await page.goto(DAY);
  await says(page, /as it was at/);
  await page.getByText('460.5').first().waitFor({ state: 'attached' });
  await close();
});

test('a ticket opened on a page that came with network has its number when the network has gone since', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  await page.goto(NEW);
  await says(page, /All sent/);
  cut(line);
  await weighIn(page, 'Etta Brandywine', 665.5, 195);
  await openTicket(page);
  await note(page).getByText(/^Kept on this phone: Weigh in.* · ticket \d+/).waitFor();
  await close();
});

test('the last number of a phone is said to be the last, none is said, too, and it gets new ones for those it used', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  await comes(page, () => new Promise((resolve) => {
    const open = indexedDB.open('canewright');
    open.onsuccess = () => {
      const got = open.result.transaction('facts').objectStore('facts').get('numbers /days/2026-10-10');
      got.onsuccess = () => { open.result.close(); resolve(got.result?.length > 0); };
    };
  }));
  const held = await fact(page, `numbers ${DAY}`);
  await noteFact(page, `numbers ${DAY}`, held.slice(0, 1));
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await weighIn(page, 'Jasper Loomis', 675.5, 195);
  await openTicket(page);
  await note(page).getByText(/That was the last ticket number of this phone/).waitFor();
  await weighIn(page, 'Rufus Ellender', 685.5, 195);
  await openTicket(page);
  await note(page).getByText(/This phone has no ticket number left/).waitFor();
  await page.evaluate(() => new Promise((resolve) => { setTimeout(resolve, 5500); }));
  mended(line);
  await online(page);
  await says(page, /All sent/);
  await comes(page, () => new Promise((resolve) => {
    const open = indexedDB.open('canewright');
    open.onsuccess = () => {
      const got = open.result.transaction('facts').objectStore('facts').get('numbers /days/2026-10-10');
      got.onsuccess = () => { open.result.close(); resolve(got.result?.length > 5); };
    };
  }));
  const again = await fact(page, `numbers ${DAY}`);
  assert.ok(!again.includes(held[0]), 'a number that a ticket bears is not given again');
  assert.equal(stands('select count(*) from tickets where ticket = ?', held[0]), 1);
  await close();
});

test('blank forms and figures that cannot be read are not kept: the box that is meant is shown', async () => {
  const { line, page, close } = await phone(DESK);
  await keepDay(page);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await openTicket(page);
  await asked(page).getByText('Whose cane or Member: please fill it in. Nothing was kept yet.').waitFor();
  await page.locator('#f-whose .problem').getByText('please fill it in').waitFor();
  await page.locator('#f-whose label').first().click();
  await page.getByLabel('Gross').fill('28l.5');
  await openTicket(page);
  await asked(page).getByText('Gross: “28l.5” cannot be read as a figure.').waitFor();
  await axe(page);
  assert.ok(await page.getByLabel('Gross').evaluate((box) => box === document.activeElement));
  await page.getByLabel('Gross').fill('545 lb 8 oz');
  await openTicket(page);
  await asked(page).getByText(/^Tare or Tare of before: please fill it in/).waitFor();
  assert.match(await status(page), /All sent/);
  await close();
});

test('where one figure is asked after the other, there is no way on from a vessel that nobody chose', async () => {
  const page = await signIn(house, 'delia', PHONE);
  const ticket = stands("select t.id from tickets t where not exists (select 1 from juices j where j.ticket_id = t.id) and exists (select 1 from loads l where l.ticket_id = t.id) order by t.ticket desc limit 1");
  await page.goto(`/tickets/${ticket}/juice/new`);
  await page.locator('body.stepping').waitFor();
  assert.equal(await page.getByRole('button', { name: 'Next' }).isVisible(), false);
  await page.context().close();
});

test('a ticket of a colleague is kept as soon as a page lists it; of one that is not known its juice can be measured', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const ruth = await signIn(house, 'ruth', DESK);
  const weighed = async (name, gross) => {
    await ruth.goto(NEW);
    await weighIn(ruth, name, gross, 195);
    await ruth.getByRole('button', { name: 'Open the ticket' }).click();
    await ruth.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
    return new URL(ruth.url()).pathname;
  };
  const known = await weighed('Clyde Fennimore', 715.5);
  await page.goto(DAY);
  await comes(page, async (path) => (await (await caches.open('canewright-pages')).match(path)) !== undefined, known);
  const unknown = await weighed('Opal Jernigan', 725.5);
  cut(line);
  assert.equal((await page.goto(known)).status(), 200);
  assert.equal((await page.goto(unknown)).status(), 503);
  await page.getByRole('link', { name: 'Measure the juice of this ticket' }).click();
  await page.getByRole('heading', { name: 'Juice of a ticket at the mill' }).waitFor();
  assert.doesNotMatch(await page.locator('main').innerText(), /kept on this phone/);
  await ruth.context().close();
  await close();
});

test('a phone whose clock is wrong shows the mill’s time of what was tapped and of what was seen', async (t) => {
  const { line, page, close } = await phone();
  const mill = async () => (await (await fetch('/clock')).json()).at;
  // The demo’s mill lives on a day of its own: the clock of this browser, and of its worker, is weeks from it.
  await keep(page, NEW);
  const off = await fact(page, 'ahead');
  t.diagnostic(`${off} s ahead`);
  assert.ok(Math.abs(off) > 3600, `${off}`);
  const at = await page.evaluate(mill);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await weighIn(page, 'Wendell Oakes-Rivera', 695.5, 195);
  await openTicket(page);
  await says(page, /1 not sent yet/);
  await page.locator('#kept summary').click();
  // In the mill's zone, as the page writes times.
  const hands = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', timeZone: 'America/Chicago' });
  const near = [-60, 0, 60].map((off) => hands.format((at + off) * 1000));
  const words = await status(page);
  for (const [what, found] of [['tapped', words.match(/\((\d\d:\d\d), Delia/)], ['seen', words.match(/as it was at (\d\d:\d\d)/)]]) {
    assert.ok(found && near.includes(found[1]), `${what}: ${found?.[1]}, not one of ${near}`);
  }
  await close();
});

test('the page of a boil’s jars that a phone keeps says whether a finish is kept', async () => {
  const { line, page, close } = await phone();
  const list = await keepDay(page);
  const jars = list.find((path) => path === `/boils/${litLot(house)}/jars`);
  await page.addInitScript(() => { StorageManager.prototype.persist = async () => false; });
  cut(line);
  await page.goto(jars);
  await page.locator('#of-finish').getByText('No finish of this boil is kept on this phone').waitFor();
  // With nothing at stake the line is short where the keys need the room.
  await page.waitForFunction(() => document.getElementById('kept').dataset.lasts === 'no');
  assert.match(await status(page), /^All sent\. No network: this page is as it was at \d\d:\d\d\.$/);
  await close();
});
