// What can be done next on a phone without network with what it keeps already: juice and more loads of its own tickets, jars
// of a boil it finished, an entry changed or taken back, a change of hands at the station; and what it says meanwhile.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, PASSPHRASE, PHONE, shows, signIn, start, tap, visitor, weigh, weighIn } from './house.mjs';
import { closeLines, cut, deaf, keep, keepDay, listed, litLot, measure, mended, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';
import { wire } from './wire.mjs';

const DAY = '/days/2026-10-10';
const NEW = `${DAY}/tickets/new`;

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
const online = (page) => page.evaluate(() => dispatchEvent(new Event('online')));
const note = (page) => page.locator('#kept-note');
const openTicket = async (page, name, gross) => {
  await weighIn(page, name, gross, 195);
  await page.getByRole('button', { name: 'Open the ticket' }).click();
};

test('two tickets of a phone without network are found again for juice and more loads, with number and name', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await openTicket(page, 'Homer Yancey', 655.5);
  await note(page).waitFor();
  assert.doesNotMatch(await note(page).innerText(), /if one is written/);
  await openTicket(page, 'Etta Brandywine', 665.5);
  await says(page, /2 not sent yet/);
  await page.goto(DAY);
  const here = page.locator('#kept-here');
  await here.getByText(/^Ticket \d+, Homer Yancey: kept on this phone/).waitFor();
  await here.getByText(/^Ticket \d+, Etta Brandywine: kept on this phone/).waitFor();
  const inList = await listed(page, 'Homer Yancey');
  assert.equal(await inList.getByRole('link', { name: 'Measure its juice' }).count(), 1);
  assert.equal(await inList.getByRole('link', { name: 'Weigh another load' }).count(), 1);
  // Another load of the second.
  await here.getByRole('link', { name: 'Weigh another load' }).nth(1).click();
  await page.getByRole('heading', { name: /^Load of ticket \d+, Etta Brandywine$/ }).waitFor();
  await weigh(page, '511.5', '195');
  await page.getByRole('button', { name: 'Add the load' }).click();
  await note(page).getByText(/^Kept on this phone: Load of ticket \d+, Etta Brandywine/).waitFor();
  // The juice of the first, and the vessel that it fills.
  await page.goto(DAY);
  await here.getByRole('link', { name: 'Measure its juice' }).first().click();
  await page.getByRole('heading', { name: /^Juice of ticket \d+, Homer Yancey$/ }).waitFor();
  const vessel = await measure(page, '23.5');
  await says(page, /4 not sent yet/);
  await page.goto(DAY);
  // What was measured here is not offered to be measured again.
  await here.getByText(/Homer Yancey: kept on this phone, not at the mill yet\. Its juice is measured\.$/).waitFor();
  assert.equal(await here.getByRole('link', { name: 'Measure its juice' }).count(), 1);
  await here.getByRole('link', { name: 'Measure its juice' }).click();
  const full = page.locator('#f-vessel label', { hasText: vessel });
  await full.getByText(/: Juice of ticket \d+, Homer Yancey, kept on this phone$/).waitFor();
  mended(line);
  await online(page);
  await says(page, /All sent/);
  for (const lb of [655.5, 665.5, 511.5]) assert.equal(loadsOf(lb), 1, `${lb} lb`);
  assert.equal(stands('select count(*) from juices where ticket_id = (select ticket_id from loads where gross_g = ?)', grams(655.5)), 1);
  assert.equal(stands('select ticket_id from loads where gross_g = ?', grams(511.5)), stands('select ticket_id from loads where gross_g = ?', grams(665.5)));
  await page.goto(DAY);
  await says(page, /All sent/);
  assert.equal(await here.count(), 0);
  await close();
});

test('a boil is finished and its jars are filled without network; the finish is of the tap, and goes first', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const lot = litLot(house);
  cut(line);
  await page.goto(`/boils/${lot}`);
  await says(page, /as it was at/);
  await page.getByText('juice by juice').click();
  const together = await page.locator('tr', { hasText: /^Together/ }).first().innerText();
  const solids = Number(together.match(/([\d.]+) lb\s*$/)[1]);
  await page.getByText('Drawn off: write the finish down').click();
  assert.equal(await page.locator('#f-finished_at').inputValue(), '', 'no time of when the page was opened');
  await page.getByLabel('Syrup drawn off').fill((solids * 0.85 / 0.784).toFixed(1));
  await page.getByLabel('Refractometer reads').fill('78.4');
  await page.getByLabel('Temperature of that drop').fill('72');
  await page.getByRole('button', { name: 'Finish the boil' }).click();
  await note(page).getByText(/^Kept on this phone: Finish/).waitFor();
  // Also after the page is loaded again.
  await page.reload();
  const here = page.locator('#kept-here');
  await here.getByText('The finish: kept on this phone').waitFor();
  await here.getByRole('link', { name: 'Fill its jars' }).click();
  await page.getByRole('heading', { name: /^Jars of boil / }).waitFor();
  await page.getByLabel('quart').first().fill('3');
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await says(page, /2 not sent yet/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?', lot), 1);
  const tapped = stands(`select s.said_at - f.finished_at from finishes f join boils b on b.id = f.boil_id
    join sent_from_phone s on s.action = 'finish_boil' where b.lot_code = ?`, lot);
  assert.equal(tapped, 0, 'the finish is of the tap');
  assert.equal(stands("select sum(f.count) from fills f join boils b on b.id = f.boil_id where b.lot_code = ? and f.size_name = 'quart'", lot), 3);
  // The page that phones keep leads whoever looks to the boil.
  await page.goto(`/boils/${lot}/jars`);
  await page.waitForURL(new RegExp(`/boils/${lot}$`));
  await close();
});

test('times are told by the mill’s clock, wherever the phone thinks it is', async () => {
  const { line, page, close } = await phone({ ...PHONE, timezoneId: 'Asia/Tokyo' });
  await keepDay(page);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at \d\d:\d\d/);
  const minutes = (words) => words.match(/(\d\d):(\d\d)/).slice(1).reduce((sum, part) => sum * 60 + Number(part), 0);
  const mill = minutes((await page.locator('footer').innerText()).match(/its clock reads [^.]*/)[0]);
  const told = minutes((await status(page)).match(/as it was at \d\d:\d\d/)[0]);
  assert.ok(Math.abs(told - mill) <= 1, `${told} and ${mill} minutes`);
  await close();
});

test('what waits is changed or taken back, and is not sent while it is changed', async () => {
  const { line, page, close } = await phone();
  await keep(page, NEW);
  cut(line);
  await openTicket(page, 'Silas Wetherford', 577.5);
  await says(page, /1 not sent yet/);
  const wrong = await listed(page, 'Silas Wetherford');
  await wrong.getByRole('button', { name: 'Change it' }).click();
  await page.getByText('Change what is wrong, then send it again').waitFor();
  mended(line);
  await online(page);
  await says(page, /1 not sent yet/);
  await page.locator('.trail').getByRole('button', { name: 'Gross: 577.5 lb' }).click();
  await page.getByLabel('Gross').fill('587.5');
  await page.getByRole('button', { name: 'Next' }).click();
  await page.getByRole('button', { name: 'Next' }).click();
  assert.equal(loadsOf(577.5), 0, 'not sent while it is changed');
  await page.getByRole('button', { name: 'Open the ticket' }).click();
  await page.waitForURL(/\/tickets\/[0-9a-f-]+$/);
  assert.deepEqual([loadsOf(577.5), loadsOf(587.5)], [0, 1]);
  // Taken back: the second tap does it, and only what hangs on nothing.
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await openTicket(page, 'Jasper Loomis', 597.5);
  await says(page, /1 not sent yet/);
  const away = await listed(page, 'Jasper Loomis');
  await away.getByRole('button', { name: 'Take it back' }).click();
  await says(page, /1 not sent yet/);
  await away.getByRole('button', { name: 'Really take it back' }).click();
  await says(page, /All sent/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(loadsOf(597.5), 0);
  await close();
});

test('what may have reached the mill is neither changed nor taken back', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  deaf(line);
  await openTicket(page, 'Rufus Ellender', 607.5);
  await says(page, /1 not sent yet/);
  const there = await listed(page, 'Rufus Ellender');
  await there.getByText('It may have reached the mill').waitFor();
  for (const name of ['Change it', 'Take it back']) assert.equal(await there.getByRole('button', { name }).count(), 0, name);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(loadsOf(607.5), 1);
  await close();
});

test('at the station without network somebody else’s entries wait for a name, and go under who says it was them', async () => {
  const ruth = await signIn(house, 'ruth', DESK);
  for (const name of [/Delia Marchbanks/, /^Ruth/]) {
    await ruth.goto('/members');
    await tap(ruth, 'link', name);
    await tap(ruth, 'link', 'PIN for the mill’s station');
    await ruth.getByLabel('New PIN').fill('2580');
    await tap(ruth, 'button', 'Set the PIN');
  }
  const line = await wire(house.url);
  const page = await visitor({ ...house, url: line.url }, { viewport: { width: 1024, height: 768 }, hasTouch: true });
  await page.goto('/');
  await page.getByLabel('Name').fill('ruth');
  await page.getByLabel('Passphrase').fill(PASSPHRASE);
  await tap(page, 'button', 'Sign in');
  await page.goto('/mill/stations');
  await page.getByLabel('Name of the station').fill('Scale house');
  await tap(page, 'button', 'Make this tablet the station');
  const pick = async (name) => {
    await tap(page, 'link', name);
    await page.getByLabel('Your PIN').fill('2580');
    await tap(page, 'button', 'I stand here');
  };
  await pick(/Delia Marchbanks/);
  await keep(page, NEW);
  cut(line);
  await page.goto(NEW);
  const who = page.locator('#stands');
  await who.getByText('what is typed now is written under Delia Marchbanks').waitFor();
  await openTicket(page, 'Homer Yancey', 617.5);
  await says(page, /1 not sent yet/);
  // Hands change: nobody can be picked by PIN, and the page does not go on saying Delia.
  await page.goto('/station');
  await page.getByText('Without network nobody can be picked by PIN').waitFor();
  await page.goto(NEW);
  await who.getByRole('button', { name: 'Somebody else stands here' }).click();
  await who.getByText('what is typed now waits for a name').waitFor();
  await shows(page.locator('.stands'), /Somebody without a name yet stands here/);
  await openTicket(page, 'Etta Brandywine', 627.5);
  await says(page, /2 not sent yet/);
  mended(line);
  await online(page);
  await says(page, /1 not sent yet[\s\S]*no name/);
  assert.deepEqual([loadsOf(617.5), loadsOf(627.5)], [1, 0], 'Delia’s has gone, the other waits');
  await page.goto('/station');
  await pick(/^Ruth/);
  await page.goto(NEW);
  await says(page, /1 not sent yet/);
  const entry = await listed(page, 'Etta Brandywine');
  await entry.getByRole('button', { name: /^It was me: Ruth/ }).click();
  await says(page, /All sent/);
  const by = 'select m.name from loads l join members m on m.id = l.by_id where l.gross_g = ?';
  assert.equal(stands(by, grams(617.5)), 'Delia Marchbanks');
  assert.match(stands(by, grams(627.5)), /^Ruth/);
  await page.context().close();
  await ruth.context().close();
  await line.close();
});

test('a figure that no instrument shows is said before it is kept, and a correction that it needs the network', async () => {
  const { line, page, close } = await phone();
  const juice = stands('select id from juices limit 1');
  await keep(page, `/tickets/${stands('select ticket_id from juices limit 1')}/juice/new`);
  cut(line);
  const box = page.locator('#f-brix_1');
  await box.evaluate((one) => { one.value = '1515.5'; one.form.requestSubmit(); });
  await page.getByRole('alert').getByText(/1515\.5: please write a Brix from 0 to 95.*Nothing was kept yet/).waitFor();
  await says(page, /All sent/);
  // With what a juice cannot be without.
  await box.evaluate((one) => {
    for (const [name, value] of [['brix_1', '15.5'], ['brix_2', '15.4'], ['amount', '2.5'], ['temp', '66']]) one.form.elements[name].value = value;
    for (const name of ['vessel', 'kind', 'instrument']) {
      const all = [...one.form.querySelectorAll(`input[name=${name}]`)];
      if (!all.some((choice) => choice.checked)) all[0].checked = true;
    }
    one.form.requestSubmit();
  });
  await says(page, /1 not sent yet/);
  await (await listed(page, 'Brix, first reading: 15.5')).waitFor();
  await page.goto(`/juices/${juice}/correct`);
  await page.getByText('A correction needs the network').waitFor();
  await close();
});

test('an ordinary window is not told about private ones once something was kept and sent', async () => {
  const { line, page, close } = await phone();
  await page.addInitScript(() => { StorageManager.prototype.persist = async () => false; });
  await page.goto(NEW);
  await says(page, /All sent[\s\S]*private window/);
  await openTicket(page, 'Virgil Amberson', 637.5);
  await page.waitForURL(/\/tickets\/[0-9a-f-]+$/);
  await keep(page, NEW);
  await page.waitForFunction(() => document.getElementById('kept').dataset.lasts === 'no');
  assert.doesNotMatch(await status(page), /private window/);
  // With something at stake it is said again.
  cut(line);
  await openTicket(page, 'Nora Castellaw', 647.5);
  await says(page, /1 not sent yet[\s\S]*private window/);
  await close();
});
