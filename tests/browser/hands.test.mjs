// The yard by hand: how long a weigh-in and a juice take by a keystroke model, keys large enough for wet thumbs, the
// look chosen on the page, and a day's page of at most three screens of a phone.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { axe, PHONE, sees, signIn, start, tap, visitor } from './house.mjs';

// A keystroke model: seconds for a tap on something seen, a key of the page's own keys, and for choosing among
// several. Taken on, not measured: the same order as the keystroke-level model of Card, Moran and Newell (1980) from
// memory, with a slower tap for wet hands.
const TAP = 1.1;
const KEY = 0.45;
const CHOICE = 1.2;

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** A thumb that counts what it does. */
class Thumb {
  constructor(page) {
    Object.assign(this, { page, seconds: 0, touches: 0, digits: 0 });
  }

  /** Taps; `choosing` among several. */
  async tap(target, choosing = false) {
    const box = await target.first().boundingBox();
    assert.ok(box && box.width >= 44 && box.height >= 44, `a target of ${box?.width} × ${box?.height} px`);
    await target.first().tap();
    this.touches += 1;
    this.seconds += TAP + (choosing ? CHOICE : 0);
  }

  /** Types a figure with the page's own keys. */
  async type(figure) {
    const keys = figure.endsWith('.5') && await this.page.getByRole('button', { name: '.5', exact: true }).count() > 0
      ? [...figure.slice(0, -2), '.5'] : [...figure];
    for (const key of keys) {
      const button = this.page.getByRole('group', { name: 'Keys' }).getByRole('button', { name: key, exact: true });
      const box = await button.boundingBox();
      assert.ok(box.width >= 56 && box.height >= 56, `key ${key} is ${box.width} × ${box.height} px`);
      await button.tap();
      this.digits += 1;
      this.seconds += KEY;
    }
  }

  next() {
    return this.tap(this.page.getByRole('button', { name: 'Next' }));
  }
}

test('a booked member with one load and a known trailer is weighed in within 12 s and 7 touches beside the digits', async (t) => {
  const page = await signIn(house, 'delia');
  const thumb = new Thumb(page);
  const loaded = page.waitForEvent('domcontentloaded');
  await thumb.tap(page.getByRole('link', { name: '12:30 June Hollowell' }), true);
  await loaded;
  await thumb.type('556.5');
  await axe(page, true);
  await thumb.next();
  await axe(page, true);
  await thumb.tap(page.locator('.picks label', { hasText: '195.0 lb' }), true);
  await sees(page, /556\.5 − 195 = 361\.5 lb net/);
  await axe(page, true);
  const sent = page.waitForEvent('domcontentloaded');
  await thumb.tap(page.getByRole('button', { name: 'Open the ticket' }));
  await sent;
  await sees(page, /361\.5 lb/);
  await sees(page, /Undo load 1/);
  t.diagnostic(`${thumb.seconds.toFixed(1)} s, ${thumb.touches} touches beside ${thumb.digits} digits`);
  assert.ok(thumb.seconds <= 12 && thumb.touches <= 7, `${thumb.seconds} s, ${thumb.touches} touches`);
  assert.deepEqual(page.faults, []);
});

test('a juice is measured within 20 s', async (t) => {
  const page = await signIn(house, 'delia');
  await tap(page, 'link', /^Ticket \d+ · June Hollowell/);
  await tap(page, 'link', 'Measure the juice');
  const thumb = new Thumb(page);
  await thumb.tap(page.locator('.picks label', { hasText: /^Barrel 7,/ }), true);
  for (const figure of ['19.5', '66', '16.2', '16.4']) {
    await thumb.type(figure);
    await axe(page, true);
    await thumb.next();
  }
  const sent = page.waitForEvent('domcontentloaded');
  await thumb.tap(page.getByRole('button', { name: 'Write the juice down' }));
  await sent;
  await sees(page, /of dissolved solids/);
  t.diagnostic(`${thumb.seconds.toFixed(1)} s, ${thumb.touches} touches beside ${thumb.digits} digits`);
  assert.ok(thumb.seconds <= 20, `${thumb.seconds} s`);
  assert.deepEqual(page.faults, []);
});

test('the look is chosen on the page and stays, without scripts too', async () => {
  const page = await visitor(house, { ...PHONE, javaScriptEnabled: false, colorScheme: 'light' });
  await page.goto('/sign-in');
  for (const [name, look] of [['Dark', 'dark'], ['Light', 'light']]) {
    await tap(page, 'button', name);
    assert.equal(new URL(page.url()).pathname, '/sign-in', 'it stays on the page');
    assert.equal(await page.locator('html').getAttribute('data-look'), look);
    await page.goto('/sign-in');
    assert.equal(await page.locator('html').getAttribute('data-look'), look, 'the next page has it');
  }
  await tap(page, 'button', 'As the system');
  assert.equal(await page.locator('html').getAttribute('data-look'), null);
});

/** The running figures of a page: their weight, and their contrast with what is behind them (WCAG 2.2, relative luminance). */
function figures(page) {
  return page.evaluate(() => {
    const parts = (colour) => colour.match(/[\d.]+/g).map(Number);
    const light = ([r, g, b]) => [r, g, b].map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
      .reduce((sum, c, n) => sum + c * [0.2126, 0.7152, 0.0722][n], 0);
    const behind = (e) => {
      for (let at = e; at; at = at.parentElement) {
        const found = parts(getComputedStyle(at).backgroundColor);
        if (found[3] !== 0) return found;
      }
      return [255, 255, 255];
    };
    // What is struck through or a tag beside a figure is none that runs.
    const all = [...document.querySelectorAll('.big, td.n, dl.facts dd, .trail .net')].filter((e) => e.innerText?.trim() && !e.querySelector('s'));
    return all.map((e) => {
      const [a, b] = [light(parts(getComputedStyle(e).color)), light(behind(e))];
      return { words: e.innerText.trim().slice(0, 40), weight: Number(getComputedStyle(e).fontWeight), contrast: (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) };
    });
  });
}

test('running figures stand out in the sun: 7 : 1 or more and weight 600, in both looks', async (t) => {
  const page = await signIn(house, 'delia');
  const ways = ['/days/2026-10-10'];
  for (const [from, role, name] of [['/', 'link', /on the fire|Boil/], ['/', 'link', /^Ticket \d+ /], ['/boils', 'link', /^[0-9A-Z-]{6,}$/], ['/days/2026-10-10', 'link', /^Barrel/]]) {
    await page.goto(from);
    await page.locator('main details').evaluateAll((open) => { for (const one of open) one.open = true; });
    const found = page.locator('main').getByRole(role, { name });
    if (await found.count() > 0) ways.push(await found.first().getAttribute('href'));
  }
  assert.ok(ways.some((way) => way.startsWith('/tickets/')) && ways.some((way) => way.startsWith('/boils/')) && ways.some((way) => way.startsWith('/juices/')), ways.join(' '));
  let looked = 0;
  let least = 99;
  for (const look of ['Light', 'Dark']) {
    await page.goto('/days/2026-10-10');
    await page.getByRole('button', { name: look, exact: true }).click();
    await page.locator(`html[data-look=${look.toLowerCase()}]`).waitFor();
    for (const way of ways) {
      await page.goto(way);
      await page.locator('main details').evaluateAll((open) => { for (const one of open) one.open = true; });
      const all = await figures(page);
      assert.deepEqual(all.filter((one) => one.weight < 600 || one.contrast < 7), [], `${look} ${way}`);
      looked += all.length;
      for (const one of all) least = Math.min(least, one.contrast);
    }
  }
  assert.ok(looked > 40, `${looked} figures`);
  t.diagnostic(`${looked} figures, the least contrast ${least.toFixed(1)} : 1`);
});

/** Fills the demo's press day up to forty turns, every second with a ticket that waits to be pressed. */
function fortyTurns() {
  const book = new DatabaseSync(join(house.scratch, 'demo.db'));
  const day = book.prepare("select id, season_id from press_days where date = '2026-10-10'").get();
  const members = book.prepare('select id from members where left_at is null').all().map((row) => row.id);
  const turn = book.prepare(`insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount, state,
    made_by, made_at) values (?, ?, ?, ?, 10, 181437, 'weight', 181437, 'held', ?, 0)`);
  const ticket = book.prepare(`insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, stripped, headed, clean,
    frosted, made_by, made_at) values (?, ?, ?, ?, ?, ?, 0, 0, 0, 0, ?, 0)`);
  const count = () => book.prepare("select count(*) as n from turns where press_day_id = ? and state = 'held'").get(day.id).n;
  for (let n = count(); n < 40; n += 1) {
    const id = (kind) => `01920000-0000-7000-8000-${kind}${String(n).padStart(11, '0')}`;
    const whose = members[n % members.length];
    turn.run(id('a'), day.id, whose, 420 + 15 * n, whose);
    if (n % 2 === 0) ticket.run(id('b'), day.season_id, 9000 + n, day.id, whose, id('a'), whose);
  }
  const turns = count();
  book.close();
  return turns;
}

test('a press day of forty turns is at most three screens of a phone, and its one action stays in reach of the thumb', async (t) => {
  assert.equal(fortyTurns(), 40);
  const page = await signIn(house, 'delia');
  await tap(page, 'link', /^Open /);
  await sees(page, /Turns \(40/);
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  t.diagnostic(`${(height / 844).toFixed(2)} screens`);
  assert.ok(height <= 3 * 844, `${height} px`);
  const act = await page.locator('.thumb a').boundingBox();
  assert.ok(act.y > 422 && act.y + act.height <= 844 && act.height >= 56, 'the lower half of the first screen');
  const figures = await page.evaluate(() => [...document.querySelectorAll('.big, td.n, dl.facts dd')]
    .filter((e) => Number(getComputedStyle(e).fontWeight) < 600).map((e) => e.textContent));
  assert.deepEqual(figures, [], 'figures are of weight 600');
  await axe(page, true);
});
