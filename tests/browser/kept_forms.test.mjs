// Every other form of the yard without network: finish, jars, hand-over, what is undone, lost, moved, gone home. The line
// is cut before the send, between send and answer, and after; the page is loaded again, closed and opened; the browser's own
// sync sends with no page open. What stands at the mill is looked up in its file.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { PHONE, sees, shows, signIn, start, weighIn } from './house.mjs';
import { closeLines, cut, deaf, keep, litLot, mended, phone as phoneOf, says, stands as standsAt } from './phones.mjs';

const NEW = '/days/2026-10-10/tickets/new';

let house;
before(async () => { house = await start(); });
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = (options, name) => phoneOf(house, options, name);

const stands = (sql, ...of) => standsAt(house, sql, ...of);

/** Something done to the mill's file past its pages. */
function book(sql) {
  const file = new DatabaseSync(join(house.scratch, 'demo.db'));
  file.exec(sql);
  file.close();
}

const online = (page) => page.evaluate(() => dispatchEvent(new Event('online')));
const keptNote = (page, words) => page.getByText(words).waitFor();

test('a finish tapped before the line is cut off is kept through a reload and stands once', async () => {
  const { line, page, close } = await phone();
  const lot = litLot(house);
  await keep(page, `/boils/${lot}`);
  await page.getByText('juice by juice').click();
  const together = await page.locator('tr', { hasText: /^Together/ }).first().innerText();
  const solids = Number(together.match(/([\d.]+) lb\s*$/)[1]);
  cut(line);
  await page.getByText('Drawn off: write the finish down').click();
  await page.getByLabel('Syrup drawn off').fill((solids * 0.85 / 0.784).toFixed(1));
  await page.getByLabel('Refractometer reads').fill('78.4');
  await page.getByLabel('Temperature of that drop').fill('72');
  await page.locator('input[name=instrument][value=self]').check();
  await page.getByRole('button', { name: 'Finish the boil' }).click();
  await keptNote(page, /^Kept on this phone: Finish/);
  await says(page, /1 not sent yet/);
  await page.reload();
  await says(page, /1 not sent yet/);
  assert.equal(stands('select count(*) from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?', lot), 0);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?', lot), 1);
  // After the answer the line may go: nothing is sent again.
  cut(line);
  await page.reload();
  await says(page, /All sent/);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?', lot), 1);

  // The jars of that lot: the mill has them and its answer is lost.
  await page.goto(`/boils/${lot}`);
  await says(page, /All sent/);
  deaf(line);
  await page.getByLabel('quart').first().fill('3');
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await keptNote(page, /^Kept on this phone: Jars filled.*quart.*3/);
  await says(page, /1 not sent yet/);
  const jars = () => stands("select sum(f.count) from fills f join boils b on b.id = f.boil_id where b.lot_code = ? and f.size_name = 'quart'", lot);
  assert.equal(jars(), 3, 'the mill has them');
  mended(line);
  await online(page);
  await says(page, /All sent/);
  assert.equal(jars(), 3, 'and has them once');
  await close();
});

test('jars handed over without network: the page is closed and opened, and the receipt stands once with its true time', async () => {
  const { line, page, close } = await phone();
  await page.goto('/hand-overs');
  const href = await page.getByRole('link', { name: 'Opal Jernigan' }).first().getAttribute('href');
  await keep(page, href);
  cut(line);
  await page.getByLabel('Given to').fill('Opal Jernigan');
  await page.getByRole('button', { name: 'Hand the jars over' }).click();
  await keptNote(page, /^Kept on this phone: Jars handed over/);
  const context = page.context();
  await page.close();
  const again = await context.newPage();
  await again.goto(href);
  await says(again, /1 not sent yet/);
  const before = stands('select count(*) from hand_overs');
  mended(line);
  await online(again);
  await says(again, /All sent/);
  assert.equal(stands('select count(*) from hand_overs'), before + 1);
  assert.equal(stands("select count(*) from sent_from_phone where action = 'hand_over' and said_at <= arrived_at"), 1);
  await close();
});

test('undone, gone home, moved and lost: each tapped without network stands once when it is back', async () => {
  const { line, page, close } = await phone();
  const weighed = async (name, gross) => {
    await page.goto(NEW);
    await says(page, /All sent/);
    await weighIn(page, name, gross, 195);
    await page.getByRole('button', { name: 'Open the ticket' }).click();
    await page.waitForURL(/\/tickets\/[0-9a-f-]+$/);
    return new URL(page.url()).pathname;
  };
  const sent = async () => {
    mended(line);
    await online(page);
    await says(page, /All sent/);
  };
  // Undone.
  const undone = await weighed('Silas Wetherford', 556);
  await keep(page, undone);
  cut(line);
  await page.getByRole('button', { name: 'Undo load 1' }).click();
  await keptNote(page, /^Kept on this phone: Undo load 1/);
  assert.equal(await page.getByRole('button', { name: 'Undo load 1' }).isVisible(), false, 'it is tapped once');
  await says(page, /1 not sent yet/);
  await sent();
  assert.equal(stands("select count(*) from loads where ticket_id = ? and void = 1", undone.slice(9)), 1);
  // Gone home unpressed.
  const home = await weighed('Homer Yancey', 566);
  await keep(page, `${home}/unpressed`);
  cut(line);
  await page.getByLabel('Where did the cane go?').fill('home for feed');
  await page.getByRole('button', { name: 'Close the ticket unpressed' }).click();
  await keptNote(page, /^Kept on this phone: Gone home unpressed/);
  await sent();
  assert.equal(stands('select went from ticket_ends where ticket_id = ?', home.slice(9)), 'home for feed');
  // Moved, and the answer is lost.
  const moved = await weighed('Etta Brandywine', 576);
  await keep(page, `${moved}/move`);
  deaf(line);
  await page.getByText('Somebody without a turn').click();
  await page.getByRole('group', { name: 'First letter of a name' }).getByRole('button', { name: 'J', exact: true }).click();
  await page.locator('#f-member label', { hasText: 'Jasper Loomis, no.' }).click();
  await page.getByRole('button', { name: 'Move it to this member' }).click();
  await keptNote(page, /^Kept on this phone: Ticket moved/);
  assert.equal(stands('select count(*) from ticket_moves where ticket_id = ?', moved.slice(9)), 1);
  await sent();
  assert.equal(stands('select count(*) from ticket_moves where ticket_id = ?', moved.slice(9)), 1);
  // Lost.
  const juice = stands('select j.id from juices j where not exists (select 1 from draws d where d.juice_id = j.id) order by j.made_at desc limit 1');
  await keep(page, `/juices/${juice}/lost`);
  cut(line);
  await page.locator('#f-what label', { hasText: 'Spilt' }).click();
  await page.getByLabel('How much').fill('1');
  await page.getByRole('button', { name: 'Write the loss down' }).click();
  await keptNote(page, /^Kept on this phone: Juice lost/);
  await sent();
  assert.equal(stands('select count(*) from juice_losses where juice_id = ?', juice), 1);
  await close();
});

test('a day closed meanwhile: the load comes back with the reason, holds up nothing, and goes when the day is open again', async () => {
  const { line, page, close } = await phone();
  await keep(page, NEW);
  cut(line);
  await weighIn(page, 'Ida Quarterman', 596, 195);
  await page.getByRole('button', { name: 'Open the ticket' }).click();
  await keptNote(page, /^Kept on this phone: Weigh in/);
  // Work is still open on the demo's day, so that its button would refuse: the book itself is told.
  book("update press_days set closed_at = 1791600000 where date = '2026-10-10'");
  mended(line);
  await online(page);
  await says(page, /1 needs you/);
  await page.locator('#kept summary').click();
  await shows(page.locator('#kept'), /is closed and takes no more cane/);
  book("update press_days set closed_at = null where date = '2026-10-10'");
  await page.goto(NEW);
  await page.locator('#kept summary').click();
  const again = page.getByRole('button', { name: /^(Mend it|Try it again)$/ });
  await again.click();
  await says(page, /All sent/);
  assert.equal(stands('select count(*) from loads where gross_g = ?', Math.round(596 * 453.59237)), 1);
  await close();
});

test('with no page open the browser’s own sync sends what waits', async () => {
  const { line, page, close } = await phone();
  await keep(page, NEW);
  cut(line);
  await weighIn(page, 'Rufus Ellender', 586, 195);
  await page.getByRole('button', { name: 'Open the ticket' }).click();
  await keptNote(page, /^Kept on this phone: Weigh in/);
  // Another page of the same browser, of no site, speaks with its engine.
  const blank = await page.context().newPage();
  const engine = await page.context().newCDPSession(blank);
  const registered = new Promise((resolve) => {
    engine.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      const own = registrations.find((one) => one.scopeURL.startsWith(line.url) && !one.isDeleted);
      if (own) resolve(own.registrationId);
    });
  });
  await engine.send('ServiceWorker.enable');
  const registrationId = await registered;
  await page.close();
  mended(line);
  const there = () => stands('select count(*) from loads where gross_g = ?', Math.round(586 * 453.59237));
  assert.equal(there(), 0);
  await engine.send('ServiceWorker.dispatchSyncEvent', { origin: line.url, registrationId, tag: 'canewright-send', lastChance: false });
  for (let tries = 0; tries < 60 && there() === 0; tries += 1) await blank.waitForTimeout(250);
  assert.equal(there(), 1, 'the worker sent it');
  const again = await page.context().newPage();
  await again.goto(NEW);
  await says(again, /All sent/);
  await close();
});

test('a private window and a browser without a worker are told before the first entry', async () => {
  for (const [script, said] of [
    [() => { StorageManager.prototype.persist = async () => false; }, /All sent[\s\S]*If this is a private window, what waits is lost when it is closed/],
    [() => { ServiceWorkerContainer.prototype.register = async () => { throw new DOMException('no', 'SecurityError'); }; }, /cannot open pages without network: keep this page open/],
    [() => { delete Navigator.prototype.serviceWorker; }, /keeps nothing without network \(an old one, or a private window\)/],
    [() => { indexedDB.open = () => { throw new DOMException('no', 'InvalidStateError'); }; }, /lets nothing be kept \(a private window does that\)/],
  ]) {
    const page = await signIn(house, 'delia', PHONE);
    await page.addInitScript(script);
    await page.goto(NEW);
    await says(page, said);
    await page.context().close();
  }
});
