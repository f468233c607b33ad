// What a phone without network says of what it knows: the finish at the mill and the jars of before, jars that were handed over, when
// juice was pressed and its cane weighed; and what a box says that was left empty or holds its unit.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { sees, start, weigh, weighIn } from './house.mjs';
import { asked, closeLines, cut, cutAtWeighIn, keep, keepDay, mended, NEW, note, online, openTicket, phone as phoneOf, says } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);

test('the page of jars says what the mill has of the finish, and what is in jars already', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  cut(line);
  await page.goto('/boils/26005G/jars');
  await page.locator('#of-finish').getByText('The finish is at the mill: 16.78 lb of syrup, 16.74 lb of it in jars already.').waitFor();
  await page.locator('#f-count_1').fill('4');
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await asked(page).getByText(/lb in jars, with 16\.74 lb written before, [\d.]+ lb more than the 16\.78 lb of syrup/).waitFor();
  await close();
});

test('jars handed over without network are marked in the list, and on the page where they would be handed over again', async () => {
  const { line, page, close } = await phone();
  await page.goto('/hand-overs');
  const href = await page.getByRole('link', { name: 'Rufus Ellender' }).first().getAttribute('href');
  await keep(page, href);
  await keep(page, '/hand-overs');
  cut(line);
  await page.goto(href);
  await page.getByLabel('Given to').fill('Rufus Ellender');
  await page.getByRole('button', { name: 'Hand the jars over' }).click();
  await note(page).getByText(/^Kept on this phone: Jars handed over/).waitFor();
  await page.goto('/hand-overs');
  const row = page.getByRole('row').filter({ hasText: 'Rufus Ellender' }).first();
  await row.getByText('handed over, kept on this phone').waitFor();
  await page.goto(href);
  await page.locator('#handed').getByText(/^Kept on this phone already: Jars handed over.*Hand over here only what is more than that\.$/).waitFor();
  mended(line);
  await online(page);
  await says(page, /All sent/);
  await page.goto('/hand-overs');
  await says(page, /All sent/);
  assert.equal(await page.locator('.tag.here').count(), 0);
  await close();
});

test('juice pressed before its cane was weighed on this phone is asked about at once, and the time stands in the list', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await weighIn(page, 'Homer Yancey', 655, 195);
  await openTicket(page);
  await note(page).getByRole('link', { name: 'Measure its juice' }).click();
  await says(page, /as it was at/);
  const next = page.getByRole('button', { name: 'Next' });
  await page.getByRole('group', { name: 'Vessel' }).locator('label', { hasText: ': empty' }).last().click();
  for (const asks of ['How it was measured', 'Refractometer']) if (await page.getByRole('group', { name: asks }).isVisible()) await next.click();
  for (const [label, figure] of [['Juice, all of it', '22'], ['Temperature, °F', '66'], ['Brix, first reading', '16.2']]) {
    await page.getByRole('textbox', { name: label }).fill(figure);
    await next.click();
  }
  // Nothing typed: it says why it does not go on.
  await next.click();
  await page.getByText('Brix, second: please type it first.').waitFor();
  await page.getByRole('textbox', { name: 'Brix, second reading' }).fill('16.3');
  assert.equal(await page.getByText('please type it first').count(), 0);
  await next.click();
  const pressed = page.locator('#f-pressed');
  await pressed.evaluate((box) => { box.closest('details').open = true; });
  await pressed.fill('0.30');
  await page.getByRole('button', { name: 'Write the juice down' }).click();
  await asked(page).getByText(/^Pressed at 0\.30 is before its cane was weighed, at \d\d:\d\d\./).waitFor();
  await pressed.fill('');
  await page.getByRole('button', { name: 'Write the juice down' }).click();
  await says(page, /2 not sent yet/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  await close();
});

test('a unit that is typed with the weight is read, and not said twice', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).click();
  await weigh(page, '1281 lb', '195');
  const trail = page.locator('.trail');
  assert.match(await trail.innerText(), /Gross: 1281 lb(?! lb)/);
  assert.match(await trail.innerText(), /= 1086 lb net/);
  // It is asked about as without the unit.
  await openTicket(page);
  await asked(page).getByText(/1086 lb net is more than the 350\.0 lb/).waitFor();
  await close();
});

test('a ticket is moved to a turn without network, which its page and the turn say', async () => {
  const { line, page, close } = await phone();
  await page.goto(NEW);
  await weighIn(page, 'Clyde Fennimore', 765, 195);
  await openTicket(page);
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  const ticket = new URL(page.url()).pathname;
  await keep(page, `${ticket}/move`);
  await keep(page, ticket);
  await keep(page, NEW);
  cut(line);
  await page.goto(`${ticket}/move`);
  await says(page, /as it was at/);
  await page.getByRole('button', { name: 'June Hollowell' }).click();
  await note(page).getByText(/^Kept on this phone: .*June Hollowell/).waitFor();
  await page.goto(ticket);
  await page.locator('#of-this-ticket').getByText(/June Hollowell.*: kept on this phone, not at the mill yet\./).waitFor();
  await page.goto(NEW);
  await page.locator('#f-whose label', { hasText: 'June Hollowell' }).getByText('a ticket was moved here, kept on this phone').waitFor();
  mended(line);
  await online(page);
  await says(page, /All sent/);
  await page.goto(ticket);
  await page.getByText('It was written for').waitFor();
  await sees(page, /June Hollowell/);
  assert.equal(await page.locator('#of-this-ticket').count(), 0);
  await close();
});
