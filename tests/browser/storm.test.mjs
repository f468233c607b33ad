// Thousands of entries through a line that cuts off, loses answers, delays, doubles and brings copies of old forms after newer
// ones: the mill's record is what was tapped, none lost, none doubled, in the order of the taps. Tickets, loads, a load
// undone, samples, tickets gone home. The sender is the yard's own; only its store is one in memory (`storm_store.test.mjs` has the phone’s own).
//
// Ten thousand of them; another number with STORM_ENTRIES (a multiple of the eight phones).

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { signIn, start } from './house.mjs';
import { badLine, chance, sender, whoIs, work } from './storm_phones.mjs';

const SEED = 20_261_010;
const PHONES = 8;
const ENTRIES = Number(process.env.STORM_ENTRIES ?? 10_000);
/** A ticket with so many loads, of which the last is undone; then a sample, then it goes home. */
const UNDO = 21;
const TAPS_OF_TICKET = UNDO + 3;
const NEW = '/days/2026-10-10/tickets/new';

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** A phone: what it taps, and by how much its clock is off, seconds. */
function phone(line, who, off, members, scale, dice) {
  const { store, net, put, key: newKey } = sender(line, who, off);
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
    return { kind: 'load', gross, target: `${at}/loads/new`, boxes: [...load, ['another', 'yes']] };
  };
  const tap = async () => {
    const place = taps.length % TAPS_OF_TICKET;
    const key = newKey();
    if (place === 0) ticket = key;
    const { kind, gross, target, boxes } = form(place, key);
    taps.push({ kind, key, ticket, gross, tapped: await put(key, target, boxes) });
  };
  return { store, net, taps, tap, off };
}

test(`${ENTRIES} entries of ${PHONES} phones through a bad line stand as they were tapped`, async (t) => {
  const page = await signIn(house, 'delia');
  await page.goto(NEW);
  const who = await whoIs(page);
  const scale = await page.evaluate(async () => (await (await fetch(location.href)).text()).match(/name="scale"[\s\S]*?value="([0-9a-f-]{36})"/)[1]);
  await page.context().close();
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const members = book.prepare(`select id from members where left_at is null and id not in
    (select member_id from turns where state = 'held') order by number`).all().map((row) => row.id);
  assert.ok(members.length > 3, `${members.length} members without a turn`);

  const { line, end } = await badLine(house.url, SEED);
  const phones = Array.from({ length: PHONES }, (_, n) =>
    phone(line, who, (n - 3) * 3600, members, scale, chance(SEED + n)));
  const runs = await Promise.all(phones.map((one, n) => work(one, ENTRIES / PHONES, chance(SEED + 100 + n))));
  t.diagnostic(`${await end(ENTRIES)}, ${runs.reduce((a, b) => a + b)} runs of the sender`);

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
