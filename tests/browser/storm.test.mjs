// Thousands of entries through a line that cuts off, loses answers, delays, doubles and brings copies of old forms after newer
// ones: the mill's record is what was tapped, none lost, none doubled, in the order of the taps. Tickets, loads, a load
// undone, samples, tickets gone home. The sender is the yard's own; only its store is one in memory.
//
// Six thousand of them, which takes under a minute; all ten thousand with STORM_ENTRIES=10000 (a multiple of the
// eight phones).

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { byFetch, send } from '../../static/kept-send.js';
import { newKey } from '../../static/kept-store.js';
import { signIn, start } from './house.mjs';
import { wire } from './wire.mjs';

const SEED = 20_261_010;
const PHONES = 8;
const ENTRIES = Number(process.env.STORM_ENTRIES ?? 6000);
/** A ticket with so many loads, of which the last is undone; then a sample, then it goes home. */
const UNDO = 21;
const TAPS_OF_TICKET = UNDO + 3;
const NEW = '/days/2026-10-10/tickets/new';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** Chance that is the same each time: mulberry32, public domain, by Tommy Ettinger. */
function chance(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** A store in memory, as the phone's own behaves. */
function memory() {
  const entries = new Map();
  const facts = new Map();
  return {
    async put(entry) { entries.set(entry.key, structuredClone(entry)); },
    async get(key) { return structuredClone(entries.get(key)); },
    async all() { return [...entries.values()].map((entry) => ({ ...entry })); },
    async drop(key) { entries.delete(key); },
    async fact(name) { return facts.get(name); },
    async note(name, value) { facts.set(name, value); },
  };
}

/** A phone: what it taps, and by how much its clock is off, seconds. */
function phone(line, who, off, members, scale, dice) {
  const store = memory();
  const fetching = byFetch(line.url, { cookie: who.cookie, origin: line.url });
  const net = { ...fetching, clock: () => fetching.clock() + off * 1000 };
  const taps = [];
  let ticket = '';
  /** What is tapped at a place of a ticket: it is opened, more loads, the last one undone, a sample, gone home. */
  const form = (place, key) => {
    const gross = 100 + Math.floor(dice() * 3000) / 2;
    const load = [['scale', scale], ['gross', String(gross)], ['tare', '0'], ['sure', `${gross} and 0`]];
    const at = `/tickets/${ticket}`;
    if (place === 0) {
      const whose = ['whose', `walk:${members[Math.floor(dice() * members.length)]}`];
      return { kind: 'load', gross, target: NEW, boxes: [whose, ...load, ['another', 'yes'], ['note', '']] };
    }
    if (place === UNDO) return { kind: 'undo', target: `${at}/loads/${UNDO}/undo`, boxes: [['seen', '1']] };
    if (place === UNDO + 1) return { kind: 'sample', target: `${at}/sample`, boxes: [['before', '10'], ['after', '9']] };
    if (place === UNDO + 2) return { kind: 'home', target: `${at}/unpressed`, boxes: [['went', `home ${key}`]] };
    return { kind: 'load', gross, target: `${at}/loads/new`, boxes: load };
  };
  const tap = async () => {
    const place = taps.length % TAPS_OF_TICKET;
    const key = newKey(net.clock());
    if (place === 0) ticket = key;
    const { kind, gross, target, boxes } = form(place, key);
    const entry = {
      key, boxes, target, what: '', by: who.member, byName: '',
      tapped: Math.floor(net.clock() / 1000), ahead: (await store.fact('ahead')) ?? null, state: 'waits', answer: '', status: 0, tries: 0,
    };
    taps.push({ kind, key, ticket, gross, tapped: entry.tapped });
    await store.put(entry);
  };
  return { store, net, taps, tap, off };
}

/** Taps so many times in bursts, and sends until nothing is left. */
async function work(one, entries, dice) {
  let runs = 0;
  const lots = [];
  for (let left = entries; left > 0;) {
    const burst = Math.min(left, 1 + Math.floor(dice() * 60));
    lots.push(burst);
    left -= burst;
  }
  for (const burst of lots) {
    for (let n = 0; n < burst; n += 1) await one.tap();
    runs += 1;
    await send(one.store, one.net);
  }
  // What the line broke off is sent by the runs after it.
  for (let more = 0; more < 10_000 && (await one.store.all()).length > 0; more += 1) {
    runs += 1;
    await send(one.store, one.net);
  }
  return runs;
}

test(`${ENTRIES} entries of ${PHONES} phones through a bad line stand as they were tapped`, async (t) => {
  const page = await signIn(house, 'delia');
  const cookie = (await page.context().cookies()).map((c) => `${c.name}=${c.value}`).join('; ');
  await page.goto(NEW);
  const member = await page.locator('#kept').getAttribute('data-member');
  const scale = await page.evaluate(async () => (await (await fetch(location.href)).text()).match(/name="scale"[\s\S]*?value="([0-9a-f-]{36})"/)[1]);
  await page.context().close();
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const members = book.prepare(`select id from members where left_at is null and id not in
    (select member_id from turns where state = 'held') order by number`).all().map((row) => row.id);
  assert.ok(members.length > 3, `${members.length} members without a turn`);

  const line = await wire(house.url);
  const fates = chance(SEED);
  const tally = { through: 0, cut: 0, deaf: 0, twice: 0, late: 0, again: 0 };
  line.fate = (method) => {
    const roll = fates();
    const told = roll < 0.03 ? 'cut' : roll < 0.06 ? 'deaf' : roll < 0.12 ? 'twice' : roll < 0.16 ? { late: Math.floor(fates() * 30) }
      : roll < 0.2 ? { again: 1 + Math.floor(fates() * 40) } : 'through';
    tally[typeof told === 'string' ? told : Object.keys(told)[0]] += method === 'POST' ? 1 : 0;
    return told;
  };
  const phones = Array.from({ length: PHONES }, (_, n) =>
    phone(line, { cookie, member }, (n - 3) * 3600, members, scale, chance(SEED + n)));
  const runs = await Promise.all(phones.map((one, n) => work(one, ENTRIES / PHONES, chance(SEED + 100 + n))));
  // Copies that are still on their way must find everything done.
  await line.flush();
  await line.close();
  t.diagnostic(`${JSON.stringify(tally)}, ${runs.reduce((a, b) => a + b)} runs of the sender, ${line.posts} forms reached the mill, ${line.reordered} copies of old ones after newer ones`);
  for (const fate of ['cut', 'deaf', 'twice', 'late', 'again']) assert.ok(tally[fate] > 0, `${fate} never came up`);
  assert.ok(line.posts > ENTRIES, 'some reached the mill more than once');

  for (const one of phones) {
    assert.deepEqual(await one.store.all(), [], 'nothing waits, nothing came back');
    for (const ticket of new Set(one.taps.map((tap) => tap.ticket))) {
      const tapped = one.taps.filter((tap) => tap.ticket === ticket);
      const loads = tapped.filter((tap) => tap.kind === 'load');
      const expected = loads.map((tap, n) => [n + 1, 1, tap.gross.toFixed(1), 0]);
      if (tapped.some((tap) => tap.kind === 'undo')) expected.push([UNDO, 2, loads[UNDO - 1].gross.toFixed(1), 1]);
      const stands = book.prepare('select number, version, gross_g, void from loads where ticket_id = ? order by number, version').all(ticket);
      assert.deepEqual(stands.map((row) => [row.number, row.version, (row.gross_g / 453.59237).toFixed(1), row.void]), expected, `ticket ${ticket}`);
      const samples = book.prepare('select version, before_g from trash_samples where ticket_id = ?').all(ticket);
      assert.equal(samples.length, tapped.filter((tap) => tap.kind === 'sample').length, `samples of ${ticket}`);
      const ends = book.prepare('select went from ticket_ends where ticket_id = ?').all(ticket);
      assert.deepEqual(ends.map((row) => row.went), tapped.filter((tap) => tap.kind === 'home').map((tap) => `home ${tap.key}`));
    }
  }
  const all = phones.flatMap((one) => one.taps.map((tap) => ({ ...tap, off: one.off })));
  assert.equal(all.length, ENTRIES);
  const sent = new Map(book.prepare('select form_key, tapped_at, ahead_s, said_at, arrived_at from sent_from_phone').all().map((row) => [row.form_key, row]));
  assert.equal(sent.size, ENTRIES, 'as many entries as taps');
  // The demo’s clock is another than this machine’s: what is off is told apart by the phones among themselves.
  const ahead = (n) => phones[n].taps.map((tap) => sent.get(tap.key).ahead_s).sort((a, b) => a - b)[Math.floor(phones[n].taps.length / 2)];
  for (let n = 1; n < PHONES; n += 1) assert.ok(Math.abs(ahead(n) - ahead(0) - n * 3600) <= 2, `phone ${n}: ${ahead(n) - ahead(0)} s`);
  for (const tap of all) {
    const row = sent.get(tap.key);
    assert.equal(row.tapped_at, tap.tapped);
    assert.equal(row.said_at, Math.min(row.tapped_at - row.ahead_s, row.arrived_at));
  }
  book.close();
});
