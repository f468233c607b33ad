// Hundreds of entries through a bad line out of the phone's own store, IndexedDB in a real Chromium, with the page loaded
// again half-way while things wait: the mill's record is what was tapped, none lost, none doubled, in the order of the taps.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { after, before, test } from 'node:test';
import { signIn, start } from './house.mjs';
import { badLine, chance } from './storm_phones.mjs';

const SEED = 20_261_011;
const NEW = '/days/2026-10-10/tickets/new';
/** So many tickets of so many loads each. */
const TICKETS = 60;
const LOADS = 8;
const ENTRIES = TICKETS * LOADS;

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** Keeps taps in the page's store: what each is, and under which key. Runs in the page. */
async function tapAll({ store: at, send: way, taps, member }) {
  const { openStore } = await import(at);
  const { byFetch } = await import(way);
  const store = await openStore();
  const ahead = (await store.fact('ahead')) ?? null;
  for (const { key, target, boxes } of taps) {
    await store.put({
      key, target, boxes, what: target, by: member, byName: '', tapped: Math.floor(byFetch().clock() / 1000), ahead,
      state: 'waits', answer: '', status: 0, tries: 0,
    });
  }
}

/** Sends until nothing waits, at most so many times; gives what is left. Runs in the page. */
async function sendAll({ store: at, send: way, most }) {
  const { openStore } = await import(at);
  const { byFetch, sendAlone } = await import(way);
  const store = await openStore();
  let runs = 0;
  for (; runs < most && (await store.all()).some((entry) => entry.state === 'waits'); runs += 1) {
    await sendAlone(store, byFetch());
  }
  const left = await store.all();
  return { runs, waits: left.filter((entry) => entry.state === 'waits').length, came: left.filter((entry) => entry.state === 'needs').map((entry) => entry.status) };
}

test(`${ENTRIES} entries out of a phone’s own store through a bad line stand as they were tapped`, async (t) => {
  const { line, end } = await badLine(house.url, SEED);
  const bad = line.fate;
  const good = () => 'through';
  line.fate = good;
  const page = await signIn({ ...house, url: line.url }, 'delia');
  await page.goto(NEW);
  const member = await page.locator('#kept').getAttribute('data-member');
  const scale = await page.evaluate(async () => (await (await fetch(location.href)).text()).match(/name="scale"[\s\S]*?value="([0-9a-f-]{36})"/)[1]);
  const worker = await page.evaluate(async () => (await fetch('/yard-worker.js')).text());
  const [store, send] = ['store', 'send'].map((name) => worker.match(new RegExp(`/static/kept-${name}-[0-9a-f]+\\.js`))[0]);
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const members = book.prepare(`select id from members where left_at is null and id not in
    (select member_id from turns where state = 'held') order by number`).all().map((row) => row.id);

  const dice = chance(SEED);
  const tickets = Array.from({ length: TICKETS }, (_, n) => {
    const key = (place) => `01992aa0-0000-7000-8000-${(n * 100 + place).toString(16).padStart(12, '0')}`;
    const grosses = Array.from({ length: LOADS }, () => 100 + Math.floor(dice() * 3000) / 2);
    const whose = ['whose', `walk:${members[n % members.length]}`];
    const taps = grosses.map((gross, place) => {
      const load = [['scale', scale], ['gross', String(gross)], ['tare', '0'], ['sure', `${gross} and 0`], ['another', 'yes']];
      return place === 0
        ? { key: key(0), target: NEW, boxes: [whose, ...load, ['note', '']] }
        : { key: key(place), target: `/tickets/${key(0)}/loads/new`, boxes: load };
    });
    return { id: key(0), grosses, taps };
  });
  const all = tickets.flatMap((ticket) => ticket.taps);
  // Half of them, of which some go; then the page is loaded again, and the rest is tapped.
  line.fate = bad;
  await page.evaluate(tapAll, { store, send, taps: all.slice(0, ENTRIES / 2), member });
  const first = await page.evaluate(sendAll, { store, send, most: 2 });
  assert.ok(first.waits > 0, 'some wait while the page is loaded again');
  line.fate = good;
  await page.reload();
  line.fate = bad;
  await page.evaluate(tapAll, { store, send, taps: all.slice(ENTRIES / 2), member });
  const last = await page.evaluate(sendAll, { store, send, most: 5000 });
  assert.deepEqual([last.waits, last.came], [0, []], 'nothing waits, nothing came back');
  await page.context().close();
  t.diagnostic(`${await end(ENTRIES)}, ${first.runs + last.runs} runs of the sender`);

  for (const { id, grosses } of tickets) {
    const stands = book.prepare('select number, version, gross_g from loads where ticket_id = ? order by number, version').all(id);
    assert.deepEqual(stands.map((row) => [row.number, row.version, (row.gross_g / 453.59237).toFixed(1)]),
      grosses.map((gross, n) => [n + 1, 1, gross.toFixed(1)]), `ticket ${id}`);
  }
  const sent = book.prepare('select count(*) as n from sent_from_phone').get().n;
  assert.equal(sent, ENTRIES, 'as many entries as taps');
  book.close();
});
