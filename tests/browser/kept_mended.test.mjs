// What was typed stays what it was: rows keyed in from paper outlive a line that breaks, an entry that is mended keeps the time of
// its first tap, and juice is not kept for a vessel in which another's stands.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { becomes, DESK, sees, start, weighIn } from './house.mjs';
import { asked, closeLines, cut, DAY, deaf, keepDay, listed, measure, mended, NEW, openTicket, phone as phoneOf, says, stands as standsAt } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const stands = (sql, ...of) => standsAt(house, sql, ...of);

const PAPER = `${DAY}/paper/loads`;
const loads = (gross) => stands('select count(*) from loads where gross_g = ?', Math.round(gross * 453.59237));

/** Keys one row in. */
async function row(page, n, name, gross, time) {
  const box = (of) => page.locator(`[name=r${n}-${of}]`);
  await box('whose').selectOption({ label: (await box('whose').locator('option').allInnerTexts()).find((words) => words.startsWith(name) && words.endsWith('walked in')) });
  await box('scale').selectOption({ index: 1 });
  await box('gross').fill(String(gross));
  await box('tare').fill('120');
  await box('weighed').fill(time);
  await box('by').selectOption({ index: 1 });
}

test('rows keyed in from paper outlive a line that breaks, an answer that is lost and a page that is left', async () => {
  const { line, page, close } = await phone(DESK, 'ruth');
  await keepDay(page);
  await page.goto(PAPER);
  await says(page, /All sent/);
  await row(page, 1, 'Pearl Dockery', 431, '10:05');
  // The second row has no time: the mill takes the first and sends the second back.
  await row(page, 2, 'Rufus Ellender', 433, '');
  cut(line);
  const write = page.getByRole('button', { name: 'Write the rows into the book' });
  await write.click();
  await page.getByText('The mill did not answer. Your rows stand here still').waitFor();
  assert.equal(await page.locator('[name=r1-gross]').inputValue(), '431');
  assert.equal(loads(431), 0);
  // The page is left and opened again, without network.
  await page.goto(DAY).catch(() => {});
  await page.goto(PAPER);
  await page.getByText('What was typed here and is not in the book').waitFor();
  assert.equal(await page.locator('[name=r1-gross]').inputValue(), '431');
  assert.equal(await page.locator('[name=r2-gross]').inputValue(), '433');
  // The mill writes the first row down, and its answer is lost on the way.
  deaf(line);
  await write.click();
  await page.getByText('The mill did not answer. Your rows stand here still').waitFor();
  await becomes(() => loads(431), (n) => n === 1, 'the first row is not in the book');
  mended(line);
  await write.click();
  await sees(page, /Please write the time that stands on the paper/);
  assert.equal(loads(431), 1);
  assert.equal(await page.locator('[name=r2-gross]').inputValue(), '433');
  await page.locator('[name=r2-weighed]').fill('10:20');
  await write.click();
  await sees(page, /rows? (is|are) in the book/);
  assert.equal(await page.locator('[name=r2-gross]').inputValue(), '');
  assert.deepEqual([loads(431), loads(433)], [1, 1]);
  // Nothing comes back that was taken.
  await page.goto(PAPER);
  await page.waitForLoadState('networkidle');
  assert.equal(await page.locator('[name=r1-gross]').inputValue(), '');
  await close();
});

test('an entry that is mended and refused again is not taken with the time of the mending', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await says(page, /All sent/);
  await weighIn(page, 'Rufus Ellender', 527, 120);
  await openTicket(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  const there = new URL(page.url()).pathname;
  await keepDay(page);
  await page.goto(`${there}/juice/new`);
  await says(page, /All sent/);
  const opened = await page.evaluate(() => performance.timeOrigin);
  cut(line);
  // Tapped three hours before the cane was weighed: the phone’s clock is set back for the tap.
  await page.clock.setSystemTime(opened - 3 * 3_600_000);
  await measure(page, '22.4');
  await says(page, /1 not sent yet/);
  await page.clock.setSystemTime(opened + 60_000);
  mended(line);
  await page.goto(DAY);
  await says(page, /1 needs you/);
  await (await listed(page, 'before its cane was weighed')).getByRole('button', { name: 'Mend it' }).click();
  const juices = () => stands('select count(*) from juices where ticket_id = ?', there.replace('/tickets/', ''));
  await page.getByRole('button', { name: 'Write the juice down' }).waitFor();
  await page.getByRole('textbox', { name: 'Brix, second reading' }).fill('16.4');
  const refused = page.waitForResponse((answer) => answer.status() === 409);
  await page.getByRole('button', { name: 'Write the juice down' }).click();
  await refused;
  // Time enough for a second way to the mill, if the page took one.
  await page.waitForTimeout(2000);
  await says(page, /1 needs you|What this form holds is not at the mill yet/);
  await sees(page, /before its cane was weighed/);
  assert.equal(juices(), 0);
  await close();
});

test('juice is not kept for a vessel in which another member’s stands, unless somebody looked', async () => {
  const { line, page, close } = await phone();
  const there = stands('select t.id from tickets t join loads l on l.ticket_id = t.id where not exists (select 1 from juices j where j.ticket_id = t.id) order by t.ticket limit 1');
  await keepDay(page);
  cut(line);
  await page.goto(`/tickets/${there}/juice/new`);
  await says(page, /as it was at/);
  const full = page.getByRole('group', { name: 'Vessel' }).locator('label').filter({ hasText: / of / }).first();
  await full.click();
  const next = page.getByRole('button', { name: 'Next' });
  for (const what of ['How it was measured', 'Refractometer']) {
    if (await page.getByRole('group', { name: what }).isVisible()) await next.click();
  }
  for (const [label, figure] of [['Juice, all of it', '9.1'], ['Temperature, °F', '66'], ['Brix, first reading', '16.2'], ['Brix, second reading', '16.3']]) {
    await page.getByRole('textbox', { name: label }).fill(figure);
    await next.click();
  }
  await page.getByRole('button', { name: 'Write the juice down' }).click();
  await asked(page).getByText(/two members’ juice is not mixed here/).waitFor();
  await says(page, /All sent|as it was at/);
  await asked(page).getByRole('button', { name: 'I looked: it stands empty and clean' }).click();
  await says(page, /1 not sent yet/);
  await close();
});
