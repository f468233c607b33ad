// A first season from an empty file, as its steward makes it at a desk: the co-op, the mill, 25 members, their invitations, the season
// with its rules, 12 press days. How long it takes is told by a keystroke model, not by a clock.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { axe, DESK, sees, start, visitor } from './house.mjs';

let house;
before(async () => { house = await start({ known: true, empty: true }); });
after(async () => { await house.stop(); });

// Seconds, after the keystroke-level model of Card, Moran and Newell (1980), from memory: a key of a slow typist, pointing with a
// click, the hand from keys to mouse or back, and making up one's mind. Taken on, not measured. A page that comes is waited for.
const KEY = 0.5;
const POINT = 1.3;
const HAND = 0.4;
const MIND = 1.35;
const PAGE = 1;

class Hand {
  constructor(page) { Object.assign(this, { page, seconds: 0, keys: 0, points: 0, pages: 0 }); }

  /** Types into a box, over what stands there; boxes one after the other are reached by the tabulator. */
  async types(at, text) {
    await this.page.locator(`#f-${at}`).fill(text);
    this.keys += text.length + 1;
    this.seconds += MIND + (text.length + 1) * KEY;
  }

  /** Pastes what was copied from elsewhere: a look, a click, two keys. */
  async pastes(at, text) {
    await this.page.locator(`#f-${at}`).fill(text);
    this.points += 1;
    this.keys += 2;
    this.seconds += 2 * MIND + HAND + POINT + 2 * KEY;
  }

  async chooses(at, value) {
    await this.page.locator(`#f-${at}`).selectOption(value);
    this.points += 2;
    this.seconds += MIND + 2 * (HAND + POINT);
  }

  /** Clicks what leads to another page. */
  async goes(role, name) {
    const target = this.page.getByRole(role, { name }).first();
    const loaded = this.page.waitForEvent('domcontentloaded');
    await target.click();
    await loaded;
    this.points += 1;
    this.pages += 1;
    this.seconds += MIND + HAND + POINT + PAGE;
    await axe(this.page);
  }
}

const FIRST = ['Abel', 'Bess', 'Cora', 'Dale', 'Edna'];
const LAST = ['Abernathy', 'Brandt', 'Cutler', 'Dunning', 'Eastman'];
// Numbers of the range that is kept for fiction.
const MEMBERS = FIRST.flatMap((first, i) => LAST.map((last, k) => `${first} ${last}\t865 555 01${10 + 5 * i + k}`));

test('a steward opens a first season from an empty file within ten minutes of the keystroke model', async (t) => {
  const page = await visitor(house, DESK);
  const hand = new Hand(page);
  const fills = async (boxes) => {
    for (const [at, text] of Object.entries(boxes)) await hand.types(at, text);
  };
  await page.goto('/set-up');
  await fills({ code: house.code, coop: 'Piney Creek Sorghum', place: 'Tolliver, TN 37999' });
  await hand.chooses('zone', 'America/Chicago');
  await fills({ name: 'Ruth Bell', phone: '865 555 0100', sign_in: 'ruth', passphrase: 'early frost on the creek' });
  await hand.goes('button', 'Set up the co-op');
  await sees(page, /First steps/);

  await hand.goes('link', 'Name a scale and a vessel');
  await hand.goes('link', 'Add a scale');
  await fills({ scale_name: 'Platform', graduation: '0.5', capacity: '1000' });
  await hand.goes('button', 'Add the scale');
  await hand.goes('link', 'Add a vessel');
  await fills({ vessel_name: 'Blue barrel', capacity: '55' });
  await hand.goes('button', 'Add the vessel');

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Name the pan');
  await hand.goes('link', 'Add a pan');
  await fills({ pan_name: 'Long pan', pan_area: '24', least: '20', most: '60', pan_rate: '12' });
  await hand.goes('button', 'Add the pan');

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Invite them');
  await hand.goes('link', 'Add many from a list');
  await hand.pastes('lines', MEMBERS.join('\n'));
  await hand.goes('button', 'Look them over');
  await hand.goes('button', 'Add these 25 members');
  await page.waitForURL('**/members**');
  await hand.goes('link', /^Invite /);
  await hand.goes('button', 'Make the invitations');
  assert.equal(await page.locator('.card.cut').count(), 25, 'a card for each');

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Open the season');
  const year = Number(await page.locator('#f-year').inputValue()) + 1;
  await fills({ year: String(year) });
  await hand.goes('button', 'Open the season');
  await fills({ holds_from: `${year}-08-01` });
  await hand.goes('button', /^Confirm version/);

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Plan a press day');
  // Twelve Saturdays, the last eleven weeks after the first.
  const day = new Date(Date.UTC(year, 8, 1));
  while (day.getUTCDay() !== 6) day.setUTCDate(day.getUTCDate() + 1);
  const date = () => day.toISOString().slice(0, 10);
  const first = date();
  day.setUTCDate(day.getUTCDate() + 77);
  await fills({ date: first, opens: '7:00', closes: '17:00', mill_per_h: '500', changeover: '10', until: date() });
  await hand.goes('button', /^Plan /);
  await page.goto('/days');
  const days = await page.locator('main a').evaluateAll((all) => all.map((a) => a.getAttribute('href').match(/^\/days\/\d{4}-\d\d-\d\d/)?.[0]));
  assert.equal(new Set(days.filter(Boolean)).size, 12, `press days: ${days.join(', ')}`);
  await page.goto('/');
  await sees(page, /done\s+Plan a press day/);

  t.diagnostic(`${Math.round(hand.seconds)} s: ${hand.keys} keys, ${hand.points} points, ${hand.pages} pages`);
  assert.ok(hand.seconds <= 600, `${hand.seconds} s`);
  assert.deepEqual(page.faults, []);
});
