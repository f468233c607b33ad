// What waits on a phone is told where somebody signs in; what came back and was typed anew since says so; a slip of the tare is named;
// a question stands without the name of the box that answers it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PASSPHRASE, start, tap, weigh, weighIn } from './house.mjs';
import { asked, closeLines, cut, cutAtWeighIn, DAY, keepDay, listed, mended, NEW, note, online, openTicket, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const stands = (sql, ...of) => standsAt(house, sql, ...of);

/** Weighs the turn of somebody in, on a page opened anew. */
async function ofTurn(page, name, gross, tare) {
  await page.goto(NEW);
  await page.locator('#f-whose label', { hasText: name }).click();
  await weigh(page, gross, tare);
  await openTicket(page);
}

test('where somebody signs in it stands what waits on the phone, and who made it', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  const waiting = page.locator('#waiting');
  for (const gross of [655, 755]) {
    await weighIn(page, 'Homer Yancey', gross, 195);
    await openTicket(page);
    await note(page).getByText(`Gross, lb: ${gross}`).waitFor();
  }
  await says(page, /2 not sent yet/);
  await page.context().clearCookies();
  mended(line);
  await page.goto('/sign-in');
  await waiting.getByText(/^2 entries wait on this phone, made by Delia .+\. Sign in and they go; signed in as somebody else, they stay here\.$/).waitFor();
  // A wrong passphrase leaves it there.
  await page.getByLabel('Name').fill('delia');
  await page.getByLabel('Passphrase').fill('not the passphrase');
  await tap(page, 'button', 'Sign in');
  await waiting.getByText(/^2 entries wait/).waitFor();
  await page.getByLabel('Passphrase').fill(PASSPHRASE);
  await tap(page, 'button', 'Sign in');
  await page.goto(DAY);
  await says(page, /All sent/);
  await page.context().clearCookies();
  await page.goto('/sign-in');
  assert.ok(await waiting.isHidden(), 'nothing waits any more');
  await close();
});

test('a tare that is a digit off is named where no tare of before could tell, with network and without', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  const words = /460(\.0)? lb less 19\.5 lb: 440\.5 lb net is more than the [\d.]+ lb that the turn expects\..* Is the tare of 19\.5 lb right\? With 195(\.0)? lb it would be 265(\.0)? lb net\./;
  await ofTurn(page, 'Tomás', '460', '19.5');
  const summary = page.locator('form .alarm[role=alert]');
  await summary.getByText(words).waitFor();
  assert.match(await summary.innerText(), /Tare, lb: 460/);
  await page.goto(DAY);
  await (await listed(page, 'Tomás')).getByRole('button', { name: 'Throw it away' }).click();
  await page.getByRole('button', { name: 'Really throw it away' }).click();
  await says(page, /All sent/);
  cut(line);
  await page.goto(NEW);
  await says(page, /as it was at/);
  await ofTurn(page, 'Tomás', '460', '19.5');
  await asked(page).getByText(words).waitFor();
  await close();
});

test('what came back and was typed anew with another figure says so, and goes by one tap', async () => {
  const { page, close } = await phone();
  await ofTurn(page, 'June Hollowell', '4605', '195');
  await page.getByText(/2,000/).first().waitFor();
  await ofTurn(page, 'June Hollowell', '470', '195');
  const sure = page.getByRole('button', { name: /^Yes/ });
  await Promise.race([page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/), sure.first().waitFor()]);
  if (!/[0-9a-f-]{36}$/.test(page.url())) await sure.first().click();
  await page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  const ticket = new URL(page.url()).pathname;
  await page.goto(DAY);
  await says(page, /1 needs you/);
  await page.locator('#kept-here').getByText(/4605 less 195\) came back from the mill\. Weighed in since \(470 less 195\): throw it away or mend it\./).waitFor();
  const back = await listed(page, 'June Hollowell');
  await back.getByText(/Weighed in since \(470 less 195, .+\): throw this away or mend it\./).waitFor();
  assert.equal(await back.getByRole('link', { name: 'Weighed in since' }).getAttribute('href'), ticket);
  assert.equal(await back.getByRole('button', { name: /^Yes/ }).count(), 0, 'more than the scale carries cannot be so');
  await back.getByRole('button', { name: 'Throw it away' }).click();
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from tickets t join members m on m.id = t.member_id where m.name = ? and t.id = ?', 'June Hollowell', ticket.replace('/tickets/', '')), 1);
  await close();
});

test('the same load on two phones is a question by itself, in the list and at its box', async () => {
  const first = await phone({}, 'delia');
  await first.page.goto(NEW);
  await weighIn(first.page, 'Nora Castellaw', 431.5, 195);
  await openTicket(first.page);
  await first.page.waitForURL(/\/tickets\/[0-9a-f-]{36}$/);
  const second = await cutAtWeighIn(house, undefined, 'ruth');
  await weighIn(second.page, 'Nora Castellaw', 431.5, 195);
  await openTicket(second.page);
  await says(second.page, /1 not sent yet/);
  mended(second.line);
  await online(second.page);
  await says(second.page, /1 needs you/);
  const back = await listed(second.page, 'Nora Castellaw');
  await back.getByText(/^The same load\? Nora Castellaw has/).waitFor();
  assert.doesNotMatch(await status(second.page), /It is another load: The same/);
  await first.close();
  await second.close();
});

test('what the mill asks back is answered by one tap in the list', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await page.locator('#f-whose label', { hasText: 'Tomás' }).click();
  await weigh(page, '470.3', '195');
  await openTicket(page);
  await note(page).getByText('Gross, lb: 470.3').waitFor();
  mended(line);
  await online(page);
  await says(page, /1 needs you/);
  // A step that the scale does not show, which only the mill knows.
  const back = await listed(page, 'Tomás');
  await back.getByText(/This scale reads in steps of/).waitFor();
  await back.getByRole('button', { name: 'Yes, it is so: 470.3 and 195' }).click();
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from loads where gross_g = ?', Math.round(470.3 * 453.59237)), 1);
  await close();
});
