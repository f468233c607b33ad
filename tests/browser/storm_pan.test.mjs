// The pan's and the door's entries through the bad line: juice measured, some of it spilt, the rest spoilt, readings of a boil,
// jars handed over; then the boil is finished and its jars are filled. Each stands once, in the order of its phone's taps; receipts
// are numbered without a gap.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { signIn, start } from './house.mjs';
import { badLine, chance, sender, whoIs, work } from './storm_phones.mjs';

const SEED = 20_261_017;
const ENTRIES = Number(process.env.STORM_PAN_ENTRIES ?? 400);
const DAY = '/days/2026-10-10';
const LIT = '26006E';
/** A ticket is opened, its juice measured, some is spilt, a reading, the rest spoils, jars go out, another reading. */
const ROUND = ['ticket', 'juice', 'spilt', 'reading', 'spoilt', 'jars', 'reading'];

let house;
before(async () => { house = await start(); });
after(async () => { await house.stop(); });

/** A phone with a vessel of its own; `jars` are the boxes of jars that it may hand over, one a tap. */
function phone(line, who, at, dice) {
  const { store, net, key, put } = sender(line, who, at.off);
  const taps = [];
  let [ticket, juice] = ['', ''];
  const forms = {
    ticket(own) {
      ticket = own;
      const load = [['scale', at.scale], ['gross', '400'], ['tare', '0'], ['sure', '400 and 0'], ['another', 'yes']];
      return [`${DAY}/tickets/new`, [['whose', `walk:${at.walk}`], ...load, ['note', '']], 400];
    },
    juice(own) {
      juice = own;
      const pounds = 150 + Math.floor(dice() * 400) / 10;
      const read = [['temp', '70'], ['brix_1', '15.0'], ['brix_2', '15.2'], ['instrument', 'plain'], ['sediment', '']];
      return [`/tickets/${ticket}/juice/new`, [['vessel', at.vessel], ['amount', String(pounds)], ['kind', 'mass'], ...read, ['pressed', '']], pounds];
    },
    spilt(own) {
      const pounds = 1 + Math.floor(dice() * 100) / 10;
      return [`/juices/${juice}/lost`, [['what', 'spilt'], ['lost', String(pounds)], ['note', own]], pounds];
    },
    spoilt: (own) => [`/juices/${juice}/lost`, [['what', 'spoilt'], ['lost', ''], ['note', own]], 0],
    reading(own) {
      const temp = 212 + Math.floor(dice() * 4) / 2;
      return [`/boils/${LIT}/readings`, [['temp', String(temp)], ['brix', ''], ['read_at', ''], ['note', own], ['replaces', '']], temp];
    },
    jars(own) {
      const box = at.jars.pop();
      if (!box) return forms.reading(own);
      return [`/members/${at.whose}/hand-over`, [[box, '1'], ['signed_by', at.name], ['note', own]], 1];
    },
  };
  const tap = async () => {
    const own = key();
    const asked = ROUND[taps.length % ROUND.length];
    const [target, boxes, figure] = forms[asked](own);
    const kind = asked === 'jars' && target.startsWith('/boils') ? 'reading' : asked;
    taps.push({ kind, key: own, ticket, juice, figure, tapped: await put(own, target, boxes) });
  };
  return { store, net, tap, taps };
}

/** The phone that draws off: the finish of the lit boil, then jars of it, one to three half-pints a tap. */
function drawsOff(line, who, dice) {
  const { store, net, key, put } = sender(line, who, 5400);
  const filled = [];
  const finish = [['syrup', '95'], ['finish_brix', '78.1'], ['instrument', 'self'], ['sample', '70'], ['finish_temp', ''],
    ['skimmed', ''], ['spilt', ''], ['fuel_burnt', ''], ['fuel_kind', 'wood'], ['finished_at', ''], ['finish_why', '']];
  let finished = false;
  const tap = async () => {
    if (!finished) {
      finished = true;
      return put(key(), `/boils/${LIT}/finish`, finish);
    }
    const jars = 1 + Math.floor(dice() * 3);
    filled.push(jars);
    return put(key(), `/boils/${LIT}/fills`, [['count_1', ''], ['count_2', ''], ['count_3', String(jars)], ['part', '']]);
  };
  return { store, net, tap, filled };
}

/** The boxes of the jars that somebody may fetch, each as often as there are jars. */
async function jarBoxes(page, whose) {
  await page.goto(`/members/${whose}/hand-over`);
  const boxes = page.locator('input[name^="jar-"]');
  const all = await boxes.evaluateAll((inputs) => inputs.map((box) => [box.name, Number(box.value)]));
  return all.flatMap(([name, count]) => Array.from({ length: count }, () => name));
}

test(`${ENTRIES} entries of the pan and the door through a bad line stand once each, in order`, async (t) => {
  const page = await signIn(house, 'delia');
  await page.goto(`${DAY}/tickets/new`);
  const who = await whoIs(page);
  const book = new DatabaseSync(join(house.scratch, 'demo.db'), { readOnly: true });
  const all = (sql, ...given) => book.prepare(sql).all(...given);
  const scale = all('select id from scales where retired_at is null order by name')[0].id;
  const vessels = all(`select v.id from vessels v where v.retired_at is null and not exists (select 1 from juices j
    left join draws d on d.juice_id = j.id where j.vessel_id = v.id and d.juice_id is null) order by v.name`);
  const walks = all(`select id from members where left_at is null and id not in
    (select member_id from turns where state = 'held') order by number`);
  const fetching = all(`select distinct s.member_id as id, m.name from shares s join latest_divisions l on l.id = s.division_id
    join members m on m.id = s.member_id order by m.number`);
  const phones = [];
  const { line, end } = await badLine(house.url, SEED);
  for (const [n, { id: vessel }] of vessels.entries()) {
    const whose = fetching[n % fetching.length];
    const jars = n < fetching.length ? await jarBoxes(page, whose.id) : [];
    const at = { off: (n - 3) * 1800, scale, vessel, walk: walks[n % walks.length].id, whose: whose.id, name: whose.name, jars };
    phones.push(phone(line, who, at, chance(SEED + n)));
  }
  await page.context().close();
  assert.ok(phones.length >= 4, `${phones.length} vessels are empty`);
  const before = all('select max(number) as n from hand_overs')[0].n;
  const each = Math.floor(ENTRIES / phones.length);
  const runs = await Promise.all(phones.map((one, n) => work(one, each, chance(SEED + 100 + n))));

  const last = drawsOff(line, who, chance(SEED + 200));
  runs.push(await work(last, 41, chance(SEED + 201)));
  for (const one of [...phones, last]) {
    const came = (await one.store.all()).map((entry) => [entry.target, entry.status, entry.boxes.join(' '), entry.answer.match(/class="problem"[^]*?<\/p>|<h1[^]*?<\/h1>/g)]);
    assert.deepEqual(came, [], 'nothing waits, nothing came back');
  }
  t.diagnostic(`${phones.length} phones; ${await end(each * phones.length + 41)}, ${runs.reduce((a, b) => a + b)} runs of the sender`);
  for (const one of phones) {
    const tapped = (kind) => one.taps.filter((tap) => tap.kind === kind);
    for (const tap of tapped('juice')) {
      const stands = all('select j.ticket_id, m.version, m.amount from juices j join juice_measures m on m.juice_id = j.id where j.id = ?', tap.key);
      assert.deepEqual(stands.map((row) => [row.ticket_id, row.version, (row.amount / 453.59237).toFixed(1)]), [[tap.ticket, 1, tap.figure.toFixed(1)]]);
      const lost = all('select number, version, amount_g, what, note from juice_losses where juice_id = ? order by number, version', tap.key);
      const losses = one.taps.filter((loss) => loss.juice === tap.key && ['spilt', 'spoilt'].includes(loss.kind));
      assert.deepEqual(lost.map((row) => [row.number, row.version, row.what, row.note]), losses.map((loss, n) => [n + 1, 1, loss.kind, loss.key]));
      if (lost.length > 0) assert.equal((lost[0].amount_g / 453.59237).toFixed(1), losses[0].figure.toFixed(1));
    }
    const readings = tapped('reading').map((tap) => {
      const stands = all('select number, temp_c from boil_readings where note = ?', tap.key);
      assert.equal(stands.length, 1, `a reading of ${tap.figure} °F`);
      assert.equal((stands[0].temp_c * 1.8 + 32).toFixed(1), tap.figure.toFixed(1));
      return stands[0].number;
    });
    assert.deepEqual(readings, readings.toSorted((a, b) => a - b), 'in the order of the taps');
    for (const tap of tapped('jars')) {
      const stands = all('select j.count from hand_overs h join hand_over_jars j on j.hand_over_id = h.id where h.note = ?', tap.key);
      assert.deepEqual(stands.map((row) => row.count), [1]);
    }
  }
  const fills = all('select f.number, f.version, f.size_name, f.count from fills f join boils b on b.id = f.boil_id where b.lot_code = ? order by f.number', LIT);
  assert.deepEqual(fills.map((row) => [row.number, row.version, row.size_name, row.count]), last.filled.map((jars, n) => [n + 1, 1, 'half-pint', jars]));
  const finishes = all('select n.version, round(n.brix, 1) as brix from finishes n join boils b on b.id = n.boil_id where b.lot_code = ?', LIT);
  assert.deepEqual(finishes.map((row) => [row.version, row.brix]), [[1, 78.1]]);
  const counts = Object.groupBy(phones.flatMap((one) => one.taps), (tap) => tap.kind);
  t.diagnostic(Object.entries(counts).map(([kind, taps]) => `${kind} ${taps.length}`).join(', '));
  const receipts = all('select number from hand_overs where number > ? order by number', before).map((row) => row.number);
  assert.deepEqual(receipts, counts.jars.map((_, n) => before + 1 + n), 'receipts without a gap');
  assert.ok(counts.jars.length >= 5, `${counts.jars.length} jars handed over`);
  book.close();
});
