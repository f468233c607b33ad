// A line that swallows everything, and what two phones do at once: a tap is in the phone's store before anything is sent, the same
// load or turn weighed twice is led to the ticket that stands with all that was measured of it, and no number is given twice.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, signIn, start, tap, sees, weigh, weighIn } from './house.mjs';
import { asked, closeLines, comes, cut, cutAtWeighIn, DAY, entries, hung, keepDay, listed, measure, mended, NEW, note, openTicket, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const stands = (sql, ...of) => standsAt(house, sql, ...of);
const grams = (lb) => Math.round(lb * 453.59237);
const loadsOf = (lb) => stands('select count(*) from loads where gross_g = ?', grams(lb));

/** The entries of the phone, once there are so many: long before the browser itself gives an answer up. */
async function soon(page, many) {
  let found = [];
  for (let tries = 0; tries < 40 && found.length !== many; tries += 1) {
    found = await entries(page);
    await page.waitForTimeout(200);
  }
  assert.equal(found.length, many);
  return found;
}
/** Waits until the mill has set numbers aside for the phone. */
const numbersCome = (page) => comes(page, () => new Promise((resolve) => {
  const open = indexedDB.open('canewright');
  open.onsuccess = () => {
    const got = open.result.transaction('facts').objectStore('facts').get('numbers /days/2026-10-10');
    got.onsuccess = () => { open.result.close(); resolve(got.result?.length > 0); };
  };
}));

test('on a line that swallows everything a tap is kept before anything is waited for, and goes though the page was closed', async () => {
  const { line, page, close } = await phone();
  // No patience ever ends: whatever is kept only after it is never kept.
  await page.addInitScript(() => {
    const plain = window.setTimeout;
    window.setTimeout = (does, ms, ...more) => (ms === 2500 ? 0 : plain(does, ms, ...more));
  });
  await keepDay(page);
  await page.goto(NEW);
  await says(page, /All sent/);
  hung(line);
  await weighIn(page, 'Homer Yancey', 655.5, 195);
  await openTicket(page);
  const [kept] = await soon(page, 1);
  assert.match(kept.what, /Homer Yancey/);
  await says(page, /1 not sent yet/);
  // The same of a figure that has to be looked at: the page may be closed before anybody asks.
  const context = page.context();
  await page.close();
  const odd = await context.newPage();
  odd.scripted = true;
  mended(line);
  await odd.goto(NEW);
  await says(odd, /All sent/);
  assert.equal(loadsOf(655.5), 1);
  await odd.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await weigh(odd, '1281', '195');
  await odd.evaluate(() => {
    const plain = window.setTimeout;
    window.setTimeout = (does, ms, ...more) => (ms === 2500 ? 0 : plain(does, ms, ...more));
  });
  hung(line);
  await openTicket(odd);
  assert.match((await soon(odd, 1))[0].what, /Gross, lb: 1281/);
  await odd.close();
  mended(line);
  const again = await context.newPage();
  again.scripted = true;
  await again.goto(DAY);
  await says(again, /1 needs you/);
  await close();
});

test('on such a line a ticket has its number all the same, and what is odd is asked by the phone', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  await numbersCome(page);
  await page.goto(NEW);
  await says(page, /All sent/);
  hung(line);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await weigh(page, '1281', '195');
  await openTicket(page);
  await asked(page).getByText(/1086 lb net is more than .*Nothing was kept yet/).waitFor();
  assert.deepEqual(await entries(page), []);
  await page.reload();
  await says(page, /as it was at/);
  mended(line);
  await page.goto(NEW);
  await says(page, /All sent/);
  hung(line);
  await weighIn(page, 'Etta Brandywine', 665.5, 195);
  await openTicket(page);
  await note(page).getByText(/^Kept on this phone: Weigh in.* · ticket \d+/).waitFor();
  const number = (await note(page).innerText()).match(/ticket (\d+)/)[1];
  await says(page, /1 not sent yet[\s\S]*No network/);
  mended(line);
  await page.goto(DAY);
  await says(page, /All sent/);
  assert.equal(stands('select t.ticket from tickets t join loads l on l.ticket_id = t.id where l.gross_g = ?', grams(665.5)), Number(number));
  await close();
});

test('the same load weighed on two phones: its juice is led to the ticket that stands, and cannot be lost on the way', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await weighIn(page, 'Nora Castellaw', 476.5, 195);
  await openTicket(page);
  await note(page).getByRole('link', { name: 'Measure its juice' }).click();
  await measure(page, '9.5');
  await says(page, /2 not sent yet/);
  const ruth = await signIn(house, 'ruth', DESK);
  await ruth.goto(NEW);
  await weighIn(ruth, 'Nora Castellaw', 477, 195);
  await tap(ruth, 'button', 'Open the ticket');
  const there = new URL(ruth.url()).pathname;
  const number = (await ruth.getByRole('heading', { level: 1 }).innerText()).match(/\d+/)[0];
  mended(line);
  await page.goto(DAY);
  await says(page, /1 not sent yet · 1 needs you[\s\S]*What waits belongs to what needs you/);
  assert.doesNotMatch(await status(page), /does not answer/);
  const back = await listed(page, 'The same load?');
  await back.getByRole('button', { name: 'Throw it away' }).click();
  await back.getByRole('button', { name: 'Really throw it away' }).click();
  await says(page, /Not thrown away, since this belongs to it: Juice of ticket \d+, Nora Castellaw/);
  assert.equal((await entries(page)).length, 2);
  await back.getByRole('button', { name: `The same load: ticket ${number}` }).click();
  await says(page, /All sent/);
  const juice = 'select count(*) from juices where ticket_id = ?';
  assert.equal(stands(juice, there.replace('/tickets/', '')), 1);
  assert.deepEqual([loadsOf(476.5), loadsOf(477)], [0, 1]);
  await ruth.context().close();
  await close();
});

test('a turn weighed on two phones: what the second weighed becomes another load of its ticket', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await weigh(page, '320', '195');
  await openTicket(page);
  await asked(page).getByRole('button', { name: 'Yes, it is so: 320 and 195' }).click();
  await says(page, /1 not sent yet/);
  const ruth = await signIn(house, 'ruth', DESK);
  await ruth.goto(NEW);
  await ruth.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await weigh(ruth, '450.5', '195');
  await tap(ruth, 'button', 'Open the ticket');
  const there = new URL(ruth.url()).pathname;
  mended(line);
  await page.goto(DAY);
  await says(page, /1 needs you/);
  await (await listed(page, 'was weighed in already')).getByRole('button', { name: 'Mend it' }).click();
  const ways = page.locator('main a[data-twin]');
  await ways.nth(1).waitFor();
  await ways.filter({ hasText: 'Another load of ticket' }).click();
  await page.waitForURL(new RegExp(`${there}$`));
  await says(page, /All sent/);
  await sees(page, /380\.5 lb/);
  assert.equal(stands('select count(*) from loads where ticket_id = ?', there.replace('/tickets/', '')), 2);
  await ruth.context().close();
  await close();
});

test('a number that a phone holds is not taken for another slip without a word', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  await numbersCome(page);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await weighIn(page, 'Opal Jernigan', 725.5, 195);
  await openTicket(page);
  await note(page).getByText(/ · ticket \d+/).waitFor();
  const number = (await note(page).innerText()).match(/ticket (\d+)/)[1];
  const ruth = await signIn(house, 'ruth', DESK);
  await ruth.goto(NEW);
  await weighIn(ruth, 'Virgil Amberson', 402, 120);
  await ruth.locator('#f-number').evaluate((box, held) => { box.value = held; }, number);
  await tap(ruth, 'button', 'Open the ticket');
  await sees(ruth, new RegExp(`Number ${number} is set aside for a phone of Delia Marchbanks`));
  assert.equal(await ruth.getByLabel('The slip bears this number').count(), 1);
  await ruth.locator('#f-number').evaluate((box) => { box.value = ''; });
  await tap(ruth, 'button', 'Open the ticket');
  await sees(ruth, /282\.0 lb/);
  mended(line);
  await page.goto(DAY);
  await says(page, /All sent/);
  assert.equal(stands('select m.name from tickets t join members m on m.id = t.member_id where t.ticket = ?', Number(number)), 'Opal Jernigan');
  // What somebody types by hand that this phone holds is not given to the next ticket too.
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await weighIn(page, 'Pearl Dockery', 735.5, 195);
  const own = Number(number) + 1;
  await page.locator('#f-number').evaluate((box, typed) => { box.value = typed; }, String(own));
  await openTicket(page);
  await note(page).getByText(` · ticket ${own} · `).waitFor();
  await weighIn(page, 'Clyde Fennimore', 745.5, 195);
  await openTicket(page);
  await note(page).getByText(/Clyde Fennimore/).waitFor();
  const given = (await note(page).innerText()).match(/ticket (\d+)/)[1];
  assert.notEqual(Number(given), own);
  mended(line);
  await page.goto(DAY);
  await says(page, /All sent/);
  await ruth.context().close();
  await close();
});
