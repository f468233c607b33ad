// The page of a boil on a cook's phone: a figure that nobody would expect quiets no alarm without network, a tap on what became
// of the fire counts at once and loses no figure, the answers to a figure that is read back lie open, and what is needed under an
// alarm is near together.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { axe, becomes, PHONE, shows, signIn, start } from './house.mjs';
import { closeLines, cut, keep, litLot, mended, phone as phoneOf, says, stands as standsAt, status } from './phones.mjs';

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
const stands = (sql, ...of) => standsAt(house, sql, ...of);

const asked = (page) => page.locator('form .alarm[role=alert]');
const note = (page) => page.locator('#kept-note');
const weight = (page) => page.evaluate(() => document.body.dataset.weight);
const temp = (page) => page.getByRole('textbox', { name: 'Temperature of the pan' });
const brix = (page) => page.getByRole('textbox', { name: 'Refractometer, °Bx, if read' });
const noteIt = (page) => page.getByRole('button', { name: 'Note the reading' }).last().click();
const online = (page) => page.evaluate(() => dispatchEvent(new Event('online')));

/** The page of the boil without network, so many minutes after it was seen; gives the hand that turns the clock on. */
async function silent(page, line, minutes) {
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => Number(document.body.dataset.seen) * 1000);
  const at = async (then) => {
    await page.clock.setSystemTime(begun + then * 60_000);
    await page.waitForTimeout(1500);
  };
  await at(minutes);
  await becomes(() => weight(page), 'alarm', 'silence is an alarm');
  return at;
}

test('without network a figure that cannot be read, or is far from the last, is asked about and quiets nothing', async () => {
  const { line, page, close } = await phone();
  const at = await silent(page, line, 40);
  const last = Number(await temp(page).getAttribute('placeholder'));
  assert.ok(last > 150, `${last}`);
  const slips = [[temp, '2l3', /“2l3” cannot be read/], [temp, (last / 10).toFixed(1), /really\? It is far from what was read before/],
    [temp, (last - 20).toFixed(1), /really\?/], [temp, '500', /please write a temperature from/]];
  for (const [box, typed, words] of slips) {
    await box(page).fill(typed);
    await noteIt(page);
    await asked(page).getByText(words).waitFor();
    await axe(page);
    assert.equal(await box(page).inputValue(), typed, 'what was typed stands there');
    await at(40.1);
    assert.equal(await weight(page), 'alarm', `after ${typed}`);
    assert.equal(await page.locator('#kept-reading').count(), 0);
    assert.match(await status(page), /All sent/);
  }
  // An empty one is no reading.
  await temp(page).fill('');
  await noteIt(page);
  await asked(page).getByText('please fill it in').waitFor();
  // Said to be so, it is kept.
  await temp(page).fill((last - 20).toFixed(1));
  await noteIt(page);
  await asked(page).getByRole('button', { name: `Yes, it is so: ${(last - 20).toFixed(1)}` }).click();
  await note(page).getByText(/^Kept on this phone: Reading/).waitFor();
  await at(40.2);
  // It quiets the alarm to no less than the refractometer, and another is due in two minutes.
  await becomes(() => weight(page), 'note');
  assert.equal((await calls(page)).words, 'Check with the refractometer');
  await shows(page.locator('#live .next strong'), /^That figure is far from what was expected\. Next reading by \d\d:\d\d$/);
  await shows(page.locator('#countdown'), /^in [01]:\d\d min$/);
  await close();
});

test('without network a drop at the target calls, though the thermometer is below its mark', async () => {
  const { line, page, close } = await phone();
  const at = await silent(page, line, 40);
  // A degree before the mark the next reading is wanted in a minute or two.
  const mark = Number(await page.locator('#live [data-mark]').getAttribute('data-mark'));
  await temp(page).fill((mark - 1).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await at(40.1);
  assert.notEqual(await weight(page), 'alarm');
  await shows(page.locator('#countdown'), /^in [01]:\d\d min$/);
  // The words before it say the same time; and what was to go when the page was seen says how old it is.
  await shows(page.locator('#live .next strong'), /^Next reading by \d\d:\d\d$/);
  await brix(page).fill(await page.locator('#reading').getAttribute('data-goal'));
  await noteIt(page);
  await says(page, /2 not sent yet/);
  await at(40.2);
  await becomes(() => weight(page), 'alarm');
  await shows(page.locator('#live .call'), /By the drop kept here: draw the fire/);
  await close();
});

/** What calls, by its words, its colour, the page's title and what sounds: all of the same moment. */
const calls = (page) => page.evaluate(() => {
  const call = document.querySelector('#live .call');
  return { words: call.querySelector('strong').textContent, colour: call.className.replace('call', '').trim(), title: document.title, weight: document.body.dataset.weight };
});

test('words, colour, title and sound are one state, with network and without, before and after a reading is kept', async () => {
  const { line, page, close } = await phone();
  const agree = async (when) => {
    return becomes(() => calls(page), (now) => now.colour === now.weight
      && now.title.startsWith(`${now.words} – Boil `) === (now.weight !== '')
      && /^(Too early|On its way|No reading at)/.test(now.words) === (now.weight === ''), when);
  };
  await page.goto(path);
  await says(page, /All sent/);
  await agree('with network');
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => Number(document.body.dataset.seen) * 1000);
  const seen = new Set();
  for (const minute of [1, 4, 8, 12, 14, 16, 18, 20, 23, 26, 30, 40]) {
    await page.clock.setSystemTime(begun + minute * 60_000);
    await page.waitForTimeout(1200);
    seen.add((await agree(`${minute} min`)).words);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(wide <= 0, `${minute} min: ${wide} px beside the screen`);
  }
  assert.ok(seen.size > 1, [...seen].join(', '));
  const last = Number(await temp(page).getAttribute('placeholder'));
  await temp(page).fill((last + 1).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  for (const minute of [40.2, 41, 44, 50, 60]) {
    await page.clock.setSystemTime(begun + minute * 60_000);
    await page.waitForTimeout(1200);
    await agree(`kept, ${minute} min`);
  }
  await close();
});

test('without network the keys and hints go by what is kept, what is older says its age, and nothing lies beside the screen', async () => {
  const { line, page, close } = await phone();
  const at = await silent(page, line, 40);
  const keys = () => page.locator('fieldset:not(.really) button[name=tap]').allInnerTexts().then((all) => all.map(Number));
  const wide = () => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(await wide() <= 0, `${await wide()} px`);
  await shows(page.locator('#live .about'), /^40 min ago: about [\d.]+ °Bx/);
  // In forty minutes the pan went on, and the keys with it.
  const last = Number(await temp(page).getAttribute('placeholder'));
  assert.ok((await keys())[2] > last, `${await keys()} after ${last}`);
  await temp(page).fill((last + 2.3).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await at(40.1);
  assert.equal(await temp(page).getAttribute('placeholder'), (last + 2.3).toFixed(1));
  const round = await keys();
  assert.ok(Math.abs(round[2] - (last + 2.3)) <= 1, `${round} round ${last + 2.3}`);
  for (const key of await page.locator('fieldset:not(.really) button[name=tap]').all()) assert.equal(await key.getAttribute('value'), await key.innerText());
  await brix(page).fill('70.5');
  await noteIt(page);
  await says(page, /2 not sent yet/);
  await at(40.3);
  assert.ok(await page.locator('#live .about').isHidden(), 'a drop says where the pan is');
  assert.equal(await brix(page).getAttribute('placeholder'), '70.5');
  assert.ok(await wide() <= 0, `${await wide()} px`);
  await axe(page);
  await close();
});

test('each answer to a figure that is read back can be tapped at once', async () => {
  const page = await signIn(house, 'delia', PHONE);
  await page.goto(path);
  await temp(page).fill('231.5');
  await noteIt(page);
  await page.waitForURL(/\/readings$/);
  await page.getByText('231.5, really?').first().waitFor();
  await axe(page);
  const answers = page.locator('fieldset.really button');
  assert.ok(await answers.count() >= 1);
  for (const answer of await answers.all()) {
    const words = await answer.innerText();
    const free = await answer.evaluate((button) => {
      const at = button.getBoundingClientRect();
      const top = document.elementFromPoint(at.x + at.width / 2, at.y + at.height / 2);
      return { top: at.top, bottom: at.bottom, height: innerHeight, is: button.contains(top) };
    });
    assert.ok(free.is && free.top >= 0 && free.bottom <= free.height, `“${words}”: ${JSON.stringify(free)}`);
  }
  await page.context().close();
});

test('under an alarm the call, the box of the drop and the keys stand on a phone’s first screen, the other box close below', async (t) => {
  const page = await signIn(house, 'delia', PHONE);
  // Two drops that agree, read back and confirmed; sent by hand, since what is looked at here is the page after them.
  for (const drop of ['79.4', '79.6']) {
    await page.goto(path);
    const status = await page.evaluate(async (read) => {
      const form = /** @type {HTMLInputElement} */ (document.querySelector('input[name=brix]')).form;
      const body = new URLSearchParams(/** @type {any} */ (new FormData(form)));
      body.set('brix', read);
      body.set('sure', read);
      return (await fetch(form.action, { method: 'POST', body })).status;
    }, drop);
    assert.equal(status, 200, `${drop}: ${status}`);
  }
  await page.goto(path);
  await page.locator('#live .call.alarm').waitFor();
  const foot = async (part) => part.evaluate((one) => Math.round(one.getBoundingClientRect().bottom + scrollY));
  const ends = [await foot(brix(page)), await foot(page.locator('button[name=tap]').last()), await foot(temp(page))];
  t.diagnostic(ends.join(', '));
  assert.ok(ends[0] <= 844 && ends[1] <= 844 && ends[2] <= 1.15 * 844, `${ends}`);
  await page.context().close();
});

test('without network a tap on “The fire is drawn” ends the alarm, and a figure beside it that cannot be read stays', async () => {
  const { line, page, close } = await phone();
  const at = await silent(page, line, 40);
  await page.getByRole('button', { name: 'Quiet for 5 min' }).click();
  await says(page, /1 not sent yet/);
  await at(40.1);
  assert.equal(await weight(page), 'alarm', 'quieted, it is an alarm still');
  await brix(page).fill('4b.2');
  await page.getByRole('button', { name: 'The fire is drawn' }).click();
  await note(page).getByText(/^Kept on this phone: Reading.*The fire is drawn/).waitFor();
  await asked(page).getByText('The tap is kept, this figure is not yet.').waitFor();
  assert.equal(await brix(page).inputValue(), '4b.2');
  await at(41);
  await becomes(() => weight(page), '');
  await at(90);
  await becomes(() => weight(page), '', 'nothing is overdue once the fire is drawn');
  await says(page, /2 not sent yet/);
  await at(0.5);
  mended(line);
  await online(page);
  await says(page, /All sent/);
  const rows = "select count(*) from boil_readings r join boils b on b.id = r.boil_id where '/boils/' || b.lot_code = ? and ";
  assert.equal(stands(`${rows} r.note = 'Fire drawn' and r.brix is null`, path), 1);
  await close();
});

test('with network a fire that is said to be drawn calls for nothing: no reading is due', async () => {
  const { page, close } = await phone();
  await page.goto(path);
  await says(page, /All sent/);
  await page.getByRole('button', { name: 'The fire is drawn' }).click();
  await page.locator('#live .call[data-next="0"]').waitFor();
  await shows(page.locator('#live .call'), /The fire is drawn/);
  // It is looked at once a second.
  await page.waitForTimeout(2500);
  await becomes(() => weight(page), '');
  await becomes(() => page.title(), (words) => /^Boil /.test(words));
  await close();
});
