// A first season from an empty file, as its steward makes it at a desk: the co-op, the mill, 25 members, their invitations, the season
// with its rules, 12 press days; then the first of them, from its morning to the statement of the first who brought cane. How long it
// takes is told by a keystroke model, not by a clock: the steward's own hands at the pages, no weighing, pressing or boiling.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { axe, DESK, misses, sees, start, visitor } from './house.mjs';

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
    const box = typeof at === 'string' ? this.page.locator(`#f-${at}`) : at;
    await box.fill(text);
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

  /** Ticks a box, chooses one of several, opens what is folded. */
  async clicks(what) {
    await what.click();
    this.points += 1;
    this.seconds += MIND + HAND + POINT;
  }

  /** Clicks what leads to another page, which the program must have answered well: a form that it refuses is shown again. */
  async goes(role, name, asks = 200) {
    const target = this.page.getByRole(role, { name }).first();
    const answered = this.page.waitForResponse((answer) => answer.request().isNavigationRequest() && (answer.status() < 300 || answer.status() >= 400));
    const loaded = this.page.waitForEvent('domcontentloaded');
    await target.click();
    const answer = await answered;
    await loaded;
    this.points += 1;
    this.pages += 1;
    this.seconds += MIND + HAND + POINT + PAGE;
    const problems = answer.ok() ? [] : await this.page.locator('.problem, [role=alert]').allInnerTexts();
    assert.ok([200, asks].includes(answer.status()), `“${name}”: ${answer.status()} ${problems.join(' ')}`);
    await axe(this.page);
    return answer.status();
  }
}

const FIRST = ['Abel', 'Bess', 'Cora', 'Dale', 'Edna'];
const LAST = ['Abernathy', 'Brandt', 'Cutler', 'Dunning', 'Eastman'];
// Numbers of the range that is kept for fiction.
const MEMBERS = FIRST.flatMap((first, i) => LAST.map((last, k) => `${first} ${last}\t865 555 01${10 + 5 * i + k}`));

// Who brings the first cane, and who looks the figures over and signs.
const BRINGS = 'Bess Brandt';
const SIGNS = 'Abel Abernathy';
const ZONE = 'America/Chicago';
const STEPS = ['Name a scale and a vessel', 'Name the pan', 'Add the members and the crew', 'Invite them', 'Open the season', 'Confirm the rules', 'Plan a press day'];
const SECRET = 'a goose on the frozen pond';

/** A member opens the own card and joins: time of that member, not of the steward. */
async function joins(card) {
  const page = await visitor(house, DESK);
  const hand = new Hand(page);
  await page.goto(card);
  await hand.types('sign_in', 'abel');
  await hand.types('passphrase', SECRET);
  await hand.goes('button', 'Join');
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

/** The first press day, from its opening checks to the statement of who brought its cane: 56.4 lb of syrup, 20 quarts of 44 oz. */
async function firstDay(hand) {
  const { page } = hand;
  const fills = async (boxes) => {
    for (const [at, text] of Object.entries(boxes)) await hand.types(at, text);
  };
  /** Goes on, and says that a figure that is read back is right. */
  const sends = async (name) => {
    if (await hand.goes('button', name, 409) === 409) await hand.goes('button', /^Yes, it is so/);
  };
  const day = /^\w{3} \d+ \w{3} \d{4}/;
  await hand.goes('link', 'Weigh the first cane in');
  await hand.goes('link', day);
  await hand.goes('link', 'Ticket for a walk-in');
  await hand.goes('link', 'Go to the morning page');
  await fills({ known: '50', reading: '50', refractometer: '0', water_boil: '212' });
  for (const done of ['guards', 'extinguisher', 'engine', 'pan', 'first_aid']) await hand.clicks(page.locator(`[name=done_${done}]`));
  await hand.goes('button', 'Keep these checks');
  await sees(page, /Every check is done/);

  await hand.goes('link', 'New ticket');
  const whose = page.locator('#f-member label', { hasText: `${BRINGS}, no.` });
  const find = page.getByLabel('Find by name or number');
  if (!await find.isVisible()) await hand.clicks(page.getByText('Somebody without a turn'));
  await hand.types(find, 'bess b');
  await hand.clicks(whose);
  await fills({ gross: '900', tare: '195' });
  await sends('Open the ticket');
  await hand.goes('link', 'Measure the juice');
  await hand.clicks(page.getByText(/^Blue barrel/));
  for (const choice of ['Gauged: a volume', /^self-compensating/]) await hand.clicks(page.getByText(choice));
  await fills({ amount: '36', temp: '66', brix_1: '16.2', brix_2: '16.4' });
  await sends('Write the juice down');

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Light the first boil');
  await hand.goes('link', day);
  await hand.goes('link', 'Light a boil');
  await hand.clicks(page.getByRole('checkbox', { name: new RegExp(BRINGS) }));
  await hand.clicks(page.getByText(`Alone: only ${BRINGS}`));
  await sends('Light the boil');
  await sees(page, /on the fire/);
  await hand.clicks(page.getByText('Drawn off: write the finish down'));
  await fills({ syrup: '56.4', finish_brix: '78.4', sample: '72' });
  await hand.clicks(page.getByLabel('self-compensating'));
  await sends('Finish the boil');
  await hand.types(page.getByLabel('quart').first(), '20');
  await sends('Write the jars down');
  await hand.goes('link', 'Divide the boil');
  await hand.chooses('signed_by', { label: SIGNS });
  await hand.types('signature', SECRET);
  await hand.goes('button', 'Divide the boil and freeze it');
  await sees(page, new RegExp(`looked over and signed by ${SIGNS}`));
  await hand.goes('link', `Statement of ${BRINGS}`);
  await sees(page, /20 × quart|20 quarts/);
  await sees(page, /\$32\.00 to pay/);
}

test('a steward comes from an empty file to the first statement within ten minutes of the keystroke model', async (t) => {
  const page = await visitor(house, DESK);
  const hand = new Hand(page);
  const fills = async (boxes) => {
    for (const [at, text] of Object.entries(boxes)) await hand.types(at, text);
  };
  const opened = await page.goto('/set-up');
  await fills({ code: house.code, coop: 'Piney Creek Sorghum', place: 'Tolliver, TN 37999' });
  await hand.chooses('zone', ZONE);
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
  await fills({ pan_name: 'Long pan', pan_area: '24', least: '20', most: '60', pan_rate: '1.2' });
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
  const card = await page.locator('.card.cut', { hasText: SIGNS }).locator('.code').innerText();

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Open the season');
  // A season runs past New Year as far as April: twelve weeks from any day are of its year.
  // Today is where the house says it is.
  const today = new Date(opened.headers().date).toLocaleDateString('en-CA', { timeZone: ZONE });
  await fills({ year: today.slice(0, 4) });
  await hand.goes('button', 'Open the season');
  await fills({ holds_from: today });
  await hand.goes('button', /^Confirm version/);

  await hand.goes('link', 'Home');
  await hand.goes('link', 'Plan a press day');
  // The last of twelve is eleven weeks after the first.
  const last = new Date(Date.parse(today) + 77 * 86_400_000).toISOString().slice(0, 10);
  await fills({ date: today, opens: '7:00', closes: '17:00', mill_per_h: '500', changeover: '10', until: last });
  await hand.goes('button', /^Plan /);
  await page.goto('/days');
  const days = await page.locator('main a').evaluateAll((all) => all.map((a) => a.getAttribute('href').match(/^\/days\/\d{4}-\d\d-\d\d/)?.[0]));
  assert.equal(new Set(days.filter(Boolean)).size, 12, `press days: ${days.join(', ')}`);
  await page.goto('/');
  await sees(page, /done\s+Plan a press day/);
  for (const step of STEPS) await sees(page, new RegExp(`done\\s+${step}`));
  const planned = hand.seconds;
  t.diagnostic(`until the days are planned: ${Math.round(planned)} s`);

  await joins(card);
  await firstDay(hand);
  t.diagnostic(`the first press day: ${Math.round(hand.seconds - planned)} s`);
  await page.goto('/');
  await misses(page, /First steps/);

  t.diagnostic(`${Math.round(hand.seconds)} s: ${hand.keys} keys, ${hand.points} points, ${hand.pages} pages`);
  assert.ok(hand.seconds <= 600, `${hand.seconds} s`);
  assert.deepEqual(page.faults, []);
});
