// What came back from the mill and needs somebody is told from what waits: on the boil's page, at its jars, among the day's
// turns and at the vessels. And what was measured of a ticket that somebody closed as gone home meanwhile.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, sees, shows, signIn, start, tap, weigh, weighIn } from './house.mjs';
import { asked, closeLines, cut, cutAtWeighIn, DAY, keepDay, listed, litLot, measure, mended, NEW, online, openTicket, phone as phoneOf, says, stands as standsAt } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const stands = (sql, ...of) => standsAt(house, sql, ...of);

/** The last ticket that waits for its juice, and the gallons that half of its cane come to. */
function unpressed() {
  const waits = 'from tickets t join loads l on l.ticket_id = t.id where not exists (select 1 from juices j where j.ticket_id = t.id) order by t.ticket desc limit 1';
  const id = stands(`select t.id ${waits}`);
  const lb = stands('select sum(gross_g - tare_g) from loads where ticket_id = ?', id) / 453.59237;
  return { id, gallons: (lb * 0.46 / 8.86).toFixed(1) };
}

/** Opens the list behind the line from what the page says of an entry that came back. */
async function seen(page, within) {
  await within.getByRole('button', { name: 'See what is wrong' }).click();
  const mend = page.locator('#kept details[open]').getByRole('button', { name: 'Mend it' });
  await mend.waitFor();
  return mend;
}

test('a finish that the mill refused is not said to be on its way, and its page leads to what is wrong', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const lot = litLot(house);
  const path = `/boils/${lot}`;
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  await page.getByText('juice by juice').click();
  const together = await page.locator('tr', { hasText: /^Together/ }).first().innerText();
  const solids = Number(together.match(/([\d.]+) lb\s*$/)[1]);
  await page.getByText('Drawn off: write the finish down').click();
  await page.getByLabel('Syrup drawn off').fill((solids * 0.5 / 0.784).toFixed(1));
  await page.getByLabel('Refractometer reads').fill('78.4');
  await page.getByLabel('Temperature of that drop').fill('72');
  await page.locator('input[name=instrument][value=self]').check();
  await page.getByRole('button', { name: 'Finish the boil' }).click();
  await page.getByText(/^Kept on this phone: Finish/).waitFor();
  const here = page.locator('#kept-here');
  await here.getByText('The finish: kept on this phone, not at the mill yet.').waitFor();
  mended(line);
  await online(page);
  await says(page, /1 needs you/);
  // On the page where it was tapped, opened anew, and at its jars.
  await here.getByText('The finish came back from the mill and needs you.').waitFor();
  await page.goto(path);
  await says(page, /1 needs you/);
  await here.getByText('The finish came back from the mill and needs you.').waitFor();
  assert.doesNotMatch(await here.innerText(), /not at the mill yet/);
  assert.equal(await here.getByRole('link', { name: 'Fill its jars' }).count(), 0);
  const mend = await seen(page, here);
  cut(line);
  await page.goto(`${path}/jars`);
  await page.locator('#of-finish').getByText('The finish came back and needs you: these jars wait for it.').waitFor();
  mended(line);
  await page.goto(path);
  await says(page, /1 needs you/);
  await seen(page, here);
  await mend.click();
  await page.getByRole('button', { name: 'Finish the boil' }).waitFor();
  // While it is mended the page does not speak of it a second time.
  await here.waitFor({ state: 'detached' });
  await page.getByLabel('Syrup drawn off').fill((solids * 0.85 / 0.784).toFixed(1));
  await tap(page, 'button', 'Finish the boil');
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?', lot), 1);
  await close();
});

test('a turn whose weighing came back is not said to be weighed', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  // More than the scale carries, which only the mill knows.
  await weigh(page, '39605', '195');
  await page.locator('#f-note').evaluate((box) => { box.value = 'Wet tops\nLeft by the gate'; });
  await openTicket(page);
  await asked(page).getByRole('button', { name: /^Yes, it is so/ }).click();
  await says(page, /1 not sent yet/);
  const turn = page.locator('#f-whose label', { hasText: 'June Hollowell' });
  await turn.getByText(/^weighed, /).waitFor({ state: 'attached' });
  mended(line);
  await online(page);
  await says(page, /1 needs you/);
  await page.goto(NEW);
  await turn.getByText('came back, needs you').waitFor();
  assert.equal(await turn.getByText(/^weighed, /).count(), 0);
  await page.goto(DAY);
  await says(page, /1 needs you/);
  const here = page.locator('#kept-here');
  await here.getByText(/June Hollowell \([\d.]+ less [\d.]+\) came back from the mill and needs you\./).waitFor();
  assert.equal(await here.getByRole('link', { name: 'Measure its juice' }).count(), 0);
  await seen(page, here);
  // In the list a remark has its own lines, and each reason stands by itself.
  const back = await listed(page, 'June Hollowell');
  await shows(back, /Wet tops\nLeft by the gate/);
  assert.ok(await back.locator('p.problem').count() >= 1);
  for (const one of await back.locator('p.problem').allInnerTexts()) assert.doesNotMatch(one, /\n|\. Nothing was stored/);
  await page.getByRole('button', { name: 'Throw it away' }).click();
  await page.getByRole('button', { name: 'Really throw it away' }).click();
  await says(page, /All sent/);
  assert.equal(await here.count(), 0);
  await close();
});

test('juice of a ticket that somebody closed as gone home meanwhile comes back with the question, and goes with its answer', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const { id, gallons } = unpressed();
  const juices = () => stands('select count(*) from juices where ticket_id = ?', id);
  const ends = () => stands("select coalesce(group_concat(unpressed, ''), '') from ticket_ends where ticket_id = ?", id);
  cut(line);
  await page.goto(`/tickets/${id}/juice/new`);
  await says(page, /as it was at/);
  const vessel = await measure(page, gallons);
  await says(page, /1 not sent yet/);
  const ruth = await signIn(house, 'ruth', DESK);
  await ruth.goto(`/tickets/${id}/unpressed`);
  await ruth.getByRole('textbox', { name: 'Where' }).fill('home for feed');
  await ruth.locator('form.sheet button.wide').click();
  await ruth.waitForURL(new RegExp(`/tickets/${id}$`));
  await sees(ruth, /Went home unpressed: home for feed/);
  mended(line);
  await page.goto(DAY);
  await says(page, /1 needs you/);
  assert.equal(juices(), 0);
  const back = await listed(page, 'Is its cane pressed here after all?');
  // Another juice of the day does not take the vessel for one that is on its way.
  await page.goto(`/tickets/${id}/juice/new`);
  await page.locator('#f-vessel label', { hasText: vessel }).getByText(/, came back, needs you$/).waitFor();
  await page.goto(DAY);
  await listed(page, 'Is its cane pressed here after all?');
  await back.getByRole('button', { name: 'Mend it' }).click();
  // Nothing says that all is sent while it is put right, nor leads a thumb to another's ticket.
  await says(page, /What this form holds is not at the mill yet/);
  assert.equal(await page.locator('#kept-here').count(), 0);
  await page.getByLabel('It is pressed after all').check();
  await tap(page, 'button', 'Write the juice down');
  await says(page, /All sent/);
  assert.equal(juices(), 1);
  assert.equal(ends(), '10');
  await ruth.goto(`/tickets/${id}`);
  await sees(ruth, /Measure the juice/);
  await ruth.context().close();
  await close();
});

test('juice of a ticket whose only load was undone comes back with the way to the scale, and goes once cane is weighed', async () => {
  const ruth = await signIn(house, 'ruth', DESK);
  await ruth.goto(NEW);
  await weighIn(ruth, 'Pearl Dockery', 402, 120);
  await tap(ruth, 'button', 'Open the ticket');
  const there = new URL(ruth.url()).pathname;
  const { line, page, close } = await phone();
  await keepDay(page);
  cut(line);
  await page.goto(`${there}/juice/new`);
  await says(page, /as it was at/);
  await measure(page, '14.6');
  await says(page, /1 not sent yet/);
  await tap(ruth, 'button', 'Undo load 1');
  await sees(ruth, /crossed out/);
  mended(line);
  await page.goto(DAY);
  await says(page, /1 needs you/);
  await (await listed(page, 'Please weigh the cane first.')).getByRole('link', { name: 'Weigh its cane first' }).click();
  await page.waitForURL(new RegExp(`${there}/loads/new$`));
  await weigh(page, '402', '120');
  await tap(page, 'button', 'Add the load');
  await (await listed(page, 'Please weigh the cane first.')).getByRole('button', { name: 'Mend it' }).click();
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from juices where ticket_id = ?', there.replace('/tickets/', '')), 1);
  await ruth.context().close();
  await close();
});

test('what the mill refused goes from the list once the same turn is weighed in', async () => {
  const { page, close } = await phone();
  const weighed = async (gross) => {
    await page.goto(NEW);
    await says(page, /All sent|needs? you/);
    await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
    await weigh(page, gross, '195');
    await openTicket(page);
  };
  await weighed('4505');
  await page.getByText(/2,000/).first().waitFor();
  await page.goto(DAY);
  await says(page, /1 needs you/);
  await weighed('450.5');
  const sure = page.getByRole('button', { name: /^Yes/ });
  await Promise.race([page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/), sure.first().waitFor()]);
  if (!/[0-9a-f-]{36}$/.test(page.url())) await sure.first().click();
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  await page.goto(DAY);
  await says(page, /All sent/);
  await close();
});
