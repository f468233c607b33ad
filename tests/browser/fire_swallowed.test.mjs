// Beside the pan on a line that swallows everything: the page says that the mill is out of reach, what is kept calls at once, and
// what time alone changes goes on; when the line is back the call is the mill's, with no alarm between.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { start } from './house.mjs';
import { closeLines, cut, hung, keep, litLot, mended, phone as phoneOf, says } from './phones.mjs';

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
const noteIt = (page) => page.getByRole('button', { name: 'Note the reading' }).last().click();
const brix = (page) => page.getByRole('textbox', { name: 'Refractometer, °Bx, if read' });
const called = (page) => page.locator('#live .call strong').innerText();
/** Asks for a renewal now, as a page does that comes to the fore. */
const renews = (page) => page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
const ready = (page) => page.waitForFunction(() => document.body.dataset.renewed !== undefined);

test('a drop at the goal calls to draw the fire though nothing comes through, and the page says that nothing does', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  await ready(page);
  assert.doesNotMatch(await called(page), /draw the fire/i);
  hung(line);
  await brix(page).fill('78.6');
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await page.waitForFunction(() => /draw the fire/i.test(document.querySelector('#live .call strong').textContent), null, { timeout: 5000 });
  assert.equal(await page.evaluate(() => document.body.dataset.weight), 'alarm');
  await renews(page);
  await page.getByText('No connection: these figures are as they were.').waitFor();
  mended(line);
  await close();
});

test('when the network is back, what was kept counts until the mill has told what it makes of it', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  await ready(page);
  cut(line);
  await renews(page);
  await page.getByText('No connection').waitFor();
  // The next reading has long been due.
  await page.evaluate(() => {
    const call = document.querySelector('#live [data-weight]');
    call.dataset.next = String(Number(call.dataset.now) - 600);
  });
  await page.waitForFunction(() => document.body.dataset.weight === 'alarm');
  const last = Number(await page.getByRole('textbox', { name: 'Temperature of the pan' }).getAttribute('placeholder'));
  await page.getByRole('textbox', { name: 'Temperature of the pan' }).fill((last + 0.5).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await page.waitForFunction(() => document.body.dataset.weight !== 'alarm');
  await page.evaluate(() => {
    window.weights = [];
    new MutationObserver(() => window.weights.push(document.body.dataset.weight)).observe(document.body, { attributes: true, attributeFilter: ['data-weight'] });
  });
  mended(line);
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await says(page, /All sent/);
  await page.waitForFunction(() => document.body.dataset.lost === '');
  await page.waitForTimeout(3000);
  const told = await page.evaluate(() => window.weights);
  assert.ok(told.length > 0 && !told.includes('alarm'), `it said ${told}`);
  assert.match(await called(page), /./);
  await close();
});

test('time to go and the age of a probe’s figure go on without network', async () => {
  const { line, page, close } = await phone();
  await page.clock.install();
  await keep(page, path);
  await ready(page);
  await page.evaluate(() => {
    const [call, go, live] = [document.querySelector('#live [data-weight]'), document.querySelector('#live .beside .big'), document.getElementById('live')];
    go.dataset.finish = String(Number(call.dataset.now) + 95 * 60);
    go.textContent = '1 h 35 min';
    // As the page of a pan with a probe has it; the next reading is not yet due.
    call.dataset.next = String(Number(call.dataset.now) + 90 * 60);
    call.dataset.ahead = '[]';
    live.insertAdjacentHTML('beforeend', '<p class="soft"><strong>Probe by the spout: 213.8 °F, 5 s ago</strong></p>');
  });
  cut(line);
  await renews(page);
  await page.getByText('No connection').waitFor();
  const shows = () => page.evaluate(() => [document.querySelector('#live .beside .big').textContent, document.querySelector('#live > p:last-of-type strong').textContent]);
  await page.clock.fastForward(2 * 60_000);
  await page.waitForFunction(() => /^1 h 3[23] min$/.test(document.querySelector('#live .beside .big').textContent));
  assert.match((await shows())[1], /^Probe by the spout: 213\.8 °F, 2 min ago$/);
  await page.clock.fastForward(40 * 60_000);
  await page.waitForFunction(() => /^5[23] min$/.test(document.querySelector('#live .beside .big').textContent));
  assert.match((await shows())[1], /, 42 min ago$/);
  await close();
});
