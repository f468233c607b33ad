// What the mill has asked about and is answered without network counts once, on the page that asked as on any other; and a ticket
// that waits on the phone has its pages though the network is back.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { shows, start } from './house.mjs';
import { asked, closeLines, cut, cutAtWeighIn, entries, keep, litLot, mended, NEW, note, openTicket, phone as phoneOf, says } from './phones.mjs';

let house;
let path;
before(async () => {
  house = await start();
  path = `/boils/${litLot(house)}`;
});
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);
const temp = (page) => page.getByRole('textbox', { name: 'Temperature of the pan' });
const noteIt = (page) => page.getByRole('button', { name: 'Note the reading' }).last().click();

test('a question of the mill goes once its answer is kept, and the page that asked counts what is kept', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  await temp(page).fill('190');
  await noteIt(page);
  await page.waitForURL(/\/readings$/);
  await page.getByText('190, really?').first().waitFor();
  // Its scripts run before the network goes.
  await says(page, /All sent|needs you|not at the mill yet/);
  await page.waitForFunction(() => document.body.dataset.renewed !== undefined);
  cut(line);
  await page.getByRole('button', { name: 'Yes, 190' }).click();
  await note(page).getByText(/^Kept on this phone: Reading.*Yes, 190/).waitFor();
  await says(page, /1 not sent yet/);
  assert.equal(await page.locator('fieldset.really').count(), 0);
  assert.equal(await page.getByText('Nothing was stored yet').count(), 0);
  assert.equal(await temp(page).inputValue(), '');
  await shows(page.locator('#kept-reading'), /Kept on this phone: 190 at/);
  // There is nothing to send a second time.
  await noteIt(page);
  await page.getByText('please fill it in').first().waitFor();
  assert.equal((await entries(page)).length, 1);
  // A drop that is kept counts on this page as well.
  await page.getByRole('textbox', { name: 'Refractometer, °Bx, if read' }).fill('73');
  await noteIt(page);
  // Far from what was believed, it is asked about first.
  await asked(page).getByRole('button', { name: 'Yes, it is so: 73' }).click();
  await says(page, /2 not sent yet/);
  await shows(page.locator('#kept-reading'), /Kept on this phone: 73 at/);
  await page.locator('#live .about').waitFor({ state: 'hidden' });
  await close();
});

test('a finish that lies past is not shown as a time to go', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => Number(document.body.dataset.seen) * 1000);
  const end = await page.evaluate(() => {
    const [call, go] = [document.querySelector('#live [data-weight]'), document.querySelector('#live .beside .big')];
    if (!Number(go.dataset.finish)) go.dataset.finish = String(Number(call.dataset.now) + 26 * 60);
    return Number(go.dataset.finish) - Number(call.dataset.now);
  });
  await page.clock.setSystemTime(begun + end * 1000 + 120_000);
  const last = Number(await temp(page).getAttribute('placeholder'));
  await temp(page).fill((last + 1).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await page.waitForTimeout(1500);
  await shows(page.locator('#live .beside .big').first(), /^Now: read it$/);
  await close();
});

test('the juice of a ticket that waits can be measured as soon as the network is back', async () => {
  const { line, page, close } = await cutAtWeighIn(house);
  await page.locator('#f-whose label').first().click();
  await page.getByLabel('Gross').fill('545');
  await page.getByRole('button', { name: 'Next' }).click();
  await page.getByRole('textbox', { name: 'Tare' }).fill('195');
  await page.getByRole('button', { name: 'Next' }).click();
  await openTicket(page);
  const sure = page.getByRole('button', { name: /^Yes, it is so/ });
  if (await sure.count() > 0) await sure.click();
  await says(page, /1 not sent yet/);
  const to = await page.getByRole('link', { name: 'Measure its juice' }).first().getAttribute('href');
  // The way to the mill is back, and no sender has run since: its page is asked for at once.
  mended(line);
  await page.goto(to);
  await page.getByRole('group', { name: 'Vessel' }).waitFor();
  assert.equal(await page.getByText('Nothing here').count(), 0);
  assert.match(page.url(), new RegExp(`${to}$`));
  assert.notEqual(to, NEW);
  await close();
});
