// What a phone without network says and asks by itself: the day's pages kept though their page was left, signing out, the look,
// figures that are odd, turns weighed already, and the alarms at the pan after a reading that is kept.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { axe, becomes, shows, start, tap, weighIn } from './house.mjs';
import { asked, closeLines, comes, cut, cutAtWeighIn, DAY, keep, keepDay, litLot, mended, NEW, note, online, openTicket, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);

const stands = (sql, ...of) => standsAt(house, sql, ...of);

const next = (page) => page.getByRole('button', { name: 'Next' }).click();

/** Weighs a turn of today in, one figure after the other; opens no ticket. */
async function ofTurn(page, name, gross, tare) {
  await page.locator('#f-whose label', { hasText: name }).click();
  await page.getByLabel('Gross').fill(gross);
  await next(page);
  await page.getByRole('textbox', { name: 'Tare' }).fill(tare);
  await next(page);
}
/** Changes a figure that was typed. */
async function again(page, title, label, figure) {
  await page.locator('.trail').getByRole('button', { name: new RegExp(`^${title}:`) }).click();
  await page.getByRole('textbox', { name: label }).fill(figure);
  while (await page.getByRole('button', { name: 'Open the ticket' }).isHidden()) await next(page);
}

test('on a slow line all pages of the day are kept, though the day’s page was left after a moment', async () => {
  const { line, page, close } = await phone();
  line.fate = () => ({ late: 250 });
  await page.goto(DAY);
  await says(page, /All sent/);
  await page.waitForTimeout(1000);
  await page.goto(NEW);
  const list = await (await page.request.get(`${house.url}${DAY}/pages`, { headers: { cookie: (await page.context().cookies()).map((one) => `${one.name}=${one.value}`).join('; ') } })).json();
  assert.ok(list.length > 20, `${list.length} pages`);
  await comes(page, async (paths) => {
    const kept = (await (await caches.open('canewright-pages')).keys()).map((one) => new URL(one.url).pathname);
    return paths.every((path) => kept.includes(path));
  }, list);
  cut(line);
  const lit = list.find((path) => path.startsWith('/boils/'));
  for (const path of ['/hand-overs', lit, `${DAY}/boils/new`]) assert.equal((await page.goto(path)).status(), 200, path);
  await close();
});

test('what the network ended is gone on with from any page of the yard', async () => {
  const { line, page, close } = await phone();
  let asked = 0;
  // The line is cut after a few pages.
  line.fate = (method, path) => (path.startsWith('/tickets/') && (asked += 1) > 3 ? 'cut' : 'through');
  await page.goto(DAY);
  await says(page, /All sent/);
  const kept = () => page.evaluate(async () => (await (await caches.open('canewright-pages')).keys()).length);
  await comes(page, async () => (await (await caches.open('canewright-pages')).keys()).length >= 12);
  await page.waitForTimeout(500);
  const before = await kept();
  mended(line);
  await page.goto('/hand-overs');
  await comes(page, async (more) => (await (await caches.open('canewright-pages')).keys()).length > more, before + 10);
  await close();
});

test('signing out without network says that it needs it, and forgets no page; with network it forgets them', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const kept = () => page.evaluate(async () => (await (await caches.open('canewright-pages')).keys()).length);
  const all = await kept();
  cut(line);
  await tap(page, 'button', 'Sign out');
  await page.getByText('Signing out needs the network').waitFor();
  assert.equal(await kept(), all);
  assert.equal((await page.goto(DAY)).status(), 200);
  mended(line);
  await page.goto(DAY);
  await tap(page, 'button', 'Sign out');
  await page.waitForURL(/sign-in/);
  assert.equal(await page.evaluate(() => caches.has('canewright-pages')), false);
  await close();
});

test('the look is chosen without network too: what was typed stands, and the next page has it', async () => {
  const { line, page, close } = await phone();
  await keep(page, DAY);
  await keep(page, NEW);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await page.locator('#f-whose label').first().click();
  await page.getByLabel('Gross').fill('281');
  await page.getByRole('button', { name: 'Dark', exact: true }).click();
  const look = () => page.locator('html').getAttribute('data-look');
  assert.equal(await look(), 'dark');
  assert.equal(await page.getByLabel('Gross').inputValue(), '281');
  await page.goto(DAY);
  await page.locator('html[data-look=dark]').waitFor();
  mended(line);
  await page.goto(DAY);
  assert.equal(await look(), 'dark', 'the mill knows it too');
  await page.getByRole('button', { name: 'As the system' }).click();
  await page.goto(DAY);
  assert.equal(await look(), null);
  // A form that this phone cannot keep is answered in words.
  cut(line);
  await page.goto('/');
  await page.evaluate(() => {
    const form = document.createElement('form');
    [form.method, form.action] = ['post', '/mill/scales'];
    document.body.append(form);
    form.submit();
  });
  await page.getByText('What you sent may not have reached the mill').waitFor();
  await close();
});

test('odd weights are asked about before they are kept, and what cannot be is not kept', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  // 450 for 45: the tare is more than the gross.
  await ofTurn(page, 'June Hollowell', '281', '450');
  await openTicket(page);
  await asked(page).getByText(/The tare must be less than the gross of 281 lb.*Nothing was kept yet/).waitFor();
  await axe(page);
  assert.equal(await asked(page).getByRole('button').count(), 0, 'it cannot be so');
  assert.match(await status(page), /All sent/);
  // A digit of the tare is missing.
  await again(page, 'Tare', 'Tare', '45');
  await openTicket(page);
  await asked(page).getByText(/A tare of 45 lb: it was 195\.0 lb before/).waitFor();
  assert.match(await status(page), /All sent/);
  // A net far from what the turn expects.
  await again(page, 'Gross', 'Gross', '1281');
  await openTicket(page);
  await asked(page).getByText(/1236 lb net is more than the 350\.0 lb that the turn expects/).waitFor();
  await asked(page).getByRole('button', { name: 'Yes, it is so: 1281 and 45' }).click();
  await note(page).getByText(/^Kept on this phone: Weigh in/).waitFor();
  await shows(note(page), /12:30 June Hollowell, 350\.0 lb expected/);
  await says(page, /1 not sent yet/);
  // Weighed twice on one phone: the turn is marked, and its second ticket is not kept.
  const button = page.locator('#f-whose label', { hasText: 'June Hollowell' });
  await button.getByText(/^weighed, ticket \d+$/).waitFor();
  await page.goto(DAY);
  await page.getByRole('listitem').filter({ hasText: '12:30 June Hollowell' }).first().getByText(/^weighed, ticket \d+$/).waitFor();
  await page.goto(NEW);
  await says(page, /1 not sent yet/);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await page.getByLabel('Gross').fill('545');
  await next(page);
  // What waits leaves room for the keys, down to the last row.
  const last = await page.getByRole('button', { name: 'Next' }).boundingBox();
  assert.ok(last.y + last.height <= 844, `the keys end at ${last.y + last.height}`);
  await page.getByRole('textbox', { name: 'Tare' }).fill('195');
  await next(page);
  await openTicket(page);
  await asked(page).getByText(/This turn was weighed in on this phone already, on ticket \d+, June Hollowell/).waitFor();
  assert.equal(await asked(page).getByRole('link', { name: 'Weigh another load of it' }).count(), 1);
  await says(page, /1 not sent yet/);
  // The same load of somebody without a turn, near in weight: another one is said to be one.
  await page.reload();
  await weighIn(page, 'Homer Yancey', 655, 195);
  await openTicket(page);
  await says(page, /2 not sent yet/);
  // The form is free for the next once the note says what was kept.
  await note(page).getByText(/^Kept on this phone: .*Homer Yancey/).waitFor();
  await weighIn(page, 'Homer Yancey', 656, 195);
  await openTicket(page);
  await asked(page).getByText(/The same load\? Ticket \d+, Homer Yancey was weighed on this phone/i).waitFor();
  await asked(page).getByRole('button', { name: 'It is another load' }).click();
  await says(page, /3 not sent yet/);
  // Said once here, the mill asks none of it again.
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from loads where gross_g = ?', Math.round(1281 * 453.59237)), 1);
  assert.equal(stands('select count(*) from tickets t join members m on m.id = t.member_id where m.name = ? and t.turn_id is null', 'Homer Yancey'), 2);
  await close();
});

test('with network the mill asks, as ever', async () => {
  const { page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await weighIn(page, 'Etta Brandywine', 281, 450);
  await tap(page, 'button', 'Open the ticket');
  await page.getByText('The tare must be less than the gross').first().waitFor();
  assert.equal(await page.getByText('Nothing was kept yet').count(), 0);
  await close();
});

test('a juice that its vessel cannot hold and readings of Brix far apart are asked about before they are kept', async () => {
  const { line, page, close } = await phone();
  const ticket = stands("select t.id from tickets t where not exists (select 1 from juices j where j.ticket_id = t.id) and exists (select 1 from loads l where l.ticket_id = t.id) order by t.ticket desc limit 1");
  const path = `/tickets/${ticket}/juice/new`;
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const vessels = page.getByRole('group', { name: 'Vessel' }).locator('label');
  await vessels.filter({ hasText: /: empty$/ }).first().click();
  for (const asks of ['How it was measured', 'Refractometer']) {
    if (await page.getByRole('group', { name: asks }).isVisible()) await next(page);
  }
  for (const [label, figure] of [['Juice, all of it', '1400'], ['Temperature, °F', '66'], ['Brix, first reading', '15.2'], ['Brix, second reading', '18.9']]) {
    await page.getByRole('textbox', { name: label }).fill(figure);
    await next(page);
  }
  const write = page.getByRole('button', { name: 'Write the juice down' });
  await write.click();
  await asked(page).getByText(/1400 is more than .* holds, [\d.]+ gal/).waitFor();
  await page.locator('.trail button').filter({ hasText: '1400' }).click();
  await page.getByRole('textbox', { name: 'Juice, all of it' }).fill('19.5');
  while (await write.isHidden()) await next(page);
  await write.click();
  await asked(page).getByText(/15\.2 and 18\.9 are more than 0\.5 °Bx apart.*third reading/).waitFor();
  await axe(page);
  await page.getByLabel('Brix, third reading').fill('17');
  await write.click();
  await asked(page).getByText(/No two of these readings agree/).waitFor();
  assert.match(await status(page), /All sent/);
  await page.getByLabel('Brix, third reading').fill('15.4');
  await write.click();
  await says(page, /1 not sent yet/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from juice_measures q join juices j on j.id = q.juice_id where j.ticket_id = ? and brix_3 = 15.4', ticket), 1);
  await close();
});

test('at the pan without network a reading that is kept quiets the alarm until the next is due, and one at the mark calls', async () => {
  const { line, page, close } = await phone();
  const lot = litLot(house);
  const path = `/boils/${lot}`;
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => Number(document.body.dataset.seen) * 1000);
  const at = async (minutes) => {
    await page.clock.setSystemTime(begun + minutes * 60_000);
    await page.waitForTimeout(1500);
  };
  const weight = () => page.evaluate(() => document.body.dataset.weight);
  const read = async (temp) => {
    await page.getByRole('textbox', { name: 'Temperature of the pan' }).fill(temp);
    await page.getByRole('button', { name: 'Note the reading' }).last().click();
    await note(page).getByText(/^Kept on this phone: Reading/).waitFor();
  };
  await at(40);
  await becomes(weight, 'alarm', 'silence is an alarm');
  await read('220.1');
  await at(40.1);
  await becomes(weight, (now) => now !== 'alarm', 'it was read');
  await shows(page.locator('#kept-reading'), /Kept on this phone: 220\.1 at \d\d:\d\d\./);
  await shows(page.locator('#countdown'), /^in /);
  // Loaded again it is known still; later it is silent again.
  await page.reload();
  await says(page, /1 not sent yet/);
  await at(40.2);
  await becomes(weight, (now) => now !== 'alarm');
  await at(80);
  await becomes(weight, 'alarm');
  await shows(page.locator('#countdown'), /overdue$/);
  // At the mark the thermometer itself calls.
  const mark = await page.locator('#live [data-mark]').getAttribute('data-mark');
  await read(mark);
  await at(80.1);
  await becomes(weight, 'alarm');
  await shows(page.locator('#live .call'), /By the reading kept here: draw the fire/);
  await close();
});
