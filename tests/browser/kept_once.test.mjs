// One entry for one tap, without network: a second tap, a page that the browser filled in again, and a second tab of the same page add
// nothing by themselves; what is wanted once more is kept once more. What a figure changes is seen after it, and jars that hold more
// than there is are asked about.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { becomes, start } from './house.mjs';
import { asked, closeLines, cut, entries, keep, keepDay, litLot, note, phone as phoneOf, says } from './phones.mjs';

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
const phone = () => phoneOf(house);
const temp = (page) => page.getByRole('textbox', { name: 'Temperature of the pan' });
const noteIt = (page) => page.getByRole('button', { name: 'Note the reading' }).last();
const taps = (page) => page.locator('fieldset:not(.really) button[name="tap"]');
const many = async (page) => (await entries(page)).length;

/** The lit boil's page on a phone whose line is cut. */
async function away() {
  const one = await phone();
  await keep(one.page, path);
  cut(one.line);
  await one.page.goto(path);
  await says(one.page, /as it was at/);
  // The keys of one tap take no tap for a moment after they changed.
  await one.page.waitForTimeout(1500);
  return one;
}
/** A temperature that is expected of this boil just now. */
const third = async (page) => Number(await taps(page).nth(2).innerText());

test('a key of one tap that is tapped twice is one reading, though the keys have moved; tapped later it is another', async () => {
  const { page, close } = await away();
  await taps(page).nth(3).click();
  await says(page, /1 not sent yet/);
  await page.waitForTimeout(1200);
  await taps(page).nth(3).click();
  await note(page).getByText('Tapped twice: it is kept once.').waitFor();
  assert.equal(await many(page), 1);
  // Another key is another reading, at once.
  await taps(page).nth(2).click();
  await says(page, /2 not sent yet/);
  await close();
});

test('a second tap on the button of a form adds nothing and asks for nothing; what is typed anew is another entry', async () => {
  const { page, close } = await away();
  const figure = (await third(page)).toFixed(1);
  await temp(page).fill(figure);
  await noteIt(page).click();
  await says(page, /1 not sent yet/);
  await noteIt(page).click();
  await note(page).getByText('Tapped twice: it is kept once.').waitFor();
  assert.equal(await page.getByText('please fill it in').count(), 0);
  const [first] = await entries(page);
  const key = await page.locator('form.sheet input[name="form_key"]').first().inputValue();
  assert.notEqual(key, first.key, 'the next entry has a key of its own');
  // The same again, typed anew, is asked about within the minute, and kept when somebody wants it.
  await temp(page).fill(figure);
  await noteIt(page).click();
  await asked(page).getByText(/The same was kept on this phone a moment ago: Reading/).waitFor();
  assert.equal(await many(page), 1);
  await asked(page).getByRole('button', { name: 'It is another one' }).click();
  await says(page, /2 not sent yet/);
  assert.equal(new Set((await entries(page)).map((one) => one.key)).size, 2);
  await close();
});

test('the same page in a second tab asks before it keeps the same once more', async () => {
  const { page, close } = await away();
  const other = await page.context().newPage();
  await other.goto(path);
  await says(other, /as it was at/);
  const figure = (await third(page)).toFixed(1);
  for (const tab of [page, other]) {
    await temp(tab).fill(figure);
    await noteIt(tab).click();
  }
  await asked(other).getByText(/The same was kept on this phone a moment ago/).waitFor();
  assert.equal(await many(page), 1);
  await close();
});

test('a form that the browser filled in again after its page was left is the entry that was kept', async () => {
  const { page, close } = await away();
  const figure = (await third(page)).toFixed(1);
  await temp(page).fill(figure);
  await noteIt(page).click();
  await says(page, /1 not sent yet/);
  const [first] = await entries(page);
  // The page is left before it empties its boxes, and comes back with what stood in them: no hand has typed it there.
  await page.reload();
  await says(page, /1 not sent yet/);
  await temp(page).evaluate((box, typed) => { box.value = typed; }, figure);
  await noteIt(page).click();
  await note(page).getByText(/^Kept on this phone: Reading/).waitFor();
  const all = await entries(page);
  assert.deepEqual(all.map((one) => one.key), [first.key]);
  assert.equal(all[0].tapped, first.tapped, 'it keeps the time of its tap');
  await close();
});

test('a page that comes back by the back button adds nothing by itself', async () => {
  const { page, close } = await away();
  const figure = (await third(page)).toFixed(1);
  await temp(page).fill(figure);
  await noteIt(page).click();
  await says(page, /1 not sent yet/);
  await page.goto('/hand-overs');
  await page.goBack();
  await says(page, /1 not sent yet/);
  await noteIt(page).click();
  await page.waitForTimeout(1500);
  assert.equal(await many(page), 1);
  await close();
});

/** Whether the call of the boil is seen, whole. */
const callSeen = (page) => page.evaluate(() => {
  const { top, bottom, height } = document.querySelector('#live .call').getBoundingClientRect();
  return height > 0 && top >= -0.5 && bottom <= innerHeight + 0.5;
});

test('after each figure that is kept the call is in sight on a phone, and the number keys are closed', async () => {
  const { page, close } = await away();
  const figure = await third(page);
  for (const [n, name, typed] of [[1, 'Temperature of the pan', figure], [2, 'Temperature of the pan', figure + 0.5], [3, 'Refractometer, °Bx, if read', 52]]) {
    const box = page.getByRole('textbox', { name });
    await box.tap();
    await page.locator('.keys .digit').first().waitFor();
    for (const digit of typed.toFixed(1)) await page.locator('.keys .digit', { hasText: digit }).first().tap();
    await noteIt(page).tap();
    await says(page, new RegExp(`${n} not sent yet`));
    await becomes(() => page.locator('.keys').count(), 0, `after ${typed}`);
    await becomes(() => callSeen(page), true, `the call after ${typed}`);
  }
  await taps(page).nth(3).tap();
  await says(page, /4 not sent yet/);
  await becomes(() => callSeen(page), true, 'the call after a key of one tap');
  await close();
});

test('jars for more syrup than the boil has are asked about before they are kept without network', async () => {
  const { line, page, close } = await phone();
  await keepDay(page);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  // Fifty pounds by the finish that is kept here.
  await page.getByText('Drawn off: write the finish down').click();
  await page.getByRole('textbox', { name: /^Syrup drawn off/ }).fill('50 lb');
  await page.getByRole('textbox', { name: 'Refractometer reads' }).fill('78');
  await page.getByRole('textbox', { name: 'Temperature of that drop' }).fill('70');
  await page.getByRole('button', { name: 'Finish the boil' }).click();
  await note(page).getByText(/^Kept on this phone: Finish/).waitFor();
  await page.goto(`${path}/jars`);
  await says(page, /1 not sent yet/);
  const count = page.locator('#f-count_1');
  const each = Number(await page.locator('[data-jar="count_1"]').getAttribute('data-net'));
  const fits = Math.floor((50 * 453.59237) / each);
  await count.fill(String(fits + 1));
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await asked(page).getByText(/lb in jars, .* lb more than the 50\.00 lb of syrup that was drawn off/).waitFor();
  assert.equal(await many(page), 1);
  await count.fill(String(fits));
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await says(page, /2 not sent yet/);
  // What is kept already counts.
  await count.fill('1');
  await page.getByRole('button', { name: 'Write the jars down' }).click();
  await asked(page).getByText(/more than the 50\.00 lb/).waitFor();
  await asked(page).getByRole('button', { name: 'Yes, it is so: 1' }).click();
  await says(page, /3 not sent yet/);
  await close();
});
