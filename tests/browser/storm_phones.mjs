// What the storms share: phones without a screen that send as the yard's own script does, and a bad line of seeded chance.

import assert from 'node:assert/strict';
import { byFetch, send } from '../../static/kept-send.js';
import { newKey } from '../../static/kept-store.js';
import { wire } from './wire.mjs';

/** Chance that is the same each time: mulberry32, public domain, by Tommy Ettinger. */
export function chance(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** A store in memory, as the phone's own behaves. */
export function memory() {
  const entries = new Map();
  const facts = new Map();
  return {
    async put(entry) { entries.set(entry.key, structuredClone(entry)); },
    async get(key) { return structuredClone(entries.get(key)); },
    async all() { return [...entries.values()].map((entry) => ({ ...entry })); },
    async change(key, part, may = () => true) {
      const stands = entries.get(key);
      if (!stands || !may(stands)) return undefined;
      const changed = { ...stands, ...part };
      if (part) entries.set(key, changed);
      else entries.delete(key);
      return structuredClone(changed);
    },
    async drop(key) { entries.delete(key); },
    async fact(name) { return facts.get(name); },
    async note(name, value) { facts.set(name, value); },
  };
}

/** Taps so many times in bursts, and sends until nothing is left. */
export async function work(one, entries, dice) {
  let runs = 0;
  const lots = [];
  for (let left = entries; left > 0;) {
    const burst = Math.min(left, 1 + Math.floor(dice() * 60));
    lots.push(burst);
    left -= burst;
  }
  for (const burst of lots) {
    if ((await one.store.all()).some((entry) => entry.state === 'needs')) break;
    for (let n = 0; n < burst; n += 1) await one.tap();
    runs += 1;
    await send(one.store, one.net);
  }
  // What the line broke off is sent by the runs after it.
  for (let more = 0; more < 10_000 && (await one.store.all()).some((entry) => entry.state === 'waits'); more += 1) {
    runs += 1;
    await send(one.store, one.net);
  }
  return runs;
}

/**
 * A phone that sends as the yard's script does; its clock is `off` seconds ahead.
 * `put(form)` keeps one tap: `{ target, boxes }`, with the key that was given by `key()`.
 */
export function sender(line, who, off) {
  const store = memory();
  const fetching = byFetch(line.url, { cookie: who.cookie, origin: line.url });
  const net = { ...fetching, clock: () => fetching.clock() + off * 1000 };
  const key = () => newKey(net.clock());
  const put = async (key, target, boxes) => {
    const entry = {
      key, boxes, target, what: '', by: who.member, byName: '',
      tapped: Math.floor(net.clock() / 1000), ahead: (await store.fact('ahead')) ?? null, state: 'waits', answer: '', status: 0, tries: 0,
    };
    await store.put(entry);
    return entry.tapped;
  };
  return { store, net, key, put };
}

/** A line to the mill that cuts off, loses answers, doubles, delays and brings copies later, by seeded chance. */
export async function badLine(url, seed) {
  const line = await wire(url);
  const fates = chance(seed);
  const tally = { through: 0, cut: 0, deaf: 0, twice: 0, late: 0, again: 0 };
  line.fate = (method) => {
    const roll = fates();
    const told = roll < 0.03 ? 'cut' : roll < 0.06 ? 'deaf' : roll < 0.12 ? 'twice' : roll < 0.16 ? { late: Math.floor(fates() * 30) }
      : roll < 0.2 ? { again: 1 + Math.floor(fates() * 40) } : 'through';
    tally[typeof told === 'string' ? told : Object.keys(told)[0]] += method === 'POST' ? 1 : 0;
    return told;
  };
  /** Copies that are still on their way must find everything done; every kind of fault must have come up. */
  const end = async (entries) => {
    await line.flush();
    await line.close();
    for (const fate of ['cut', 'deaf', 'twice', 'late', 'again']) assert.ok(tally[fate] > 0, `${fate} never came up`);
    assert.ok(line.posts > entries, 'some reached the mill more than once');
    return `${JSON.stringify(tally)}, ${line.posts} forms reached the mill, ${line.reordered} copies of old ones after newer ones`;
  };
  return { line, end };
}

/** Who is signed in on a page, for phones without a screen. */
export async function whoIs(page) {
  const cookie = (await page.context().cookies()).map((c) => `${c.name}=${c.value}`).join('; ');
  return { cookie, member: await page.locator('#kept').getAttribute('data-member') };
}
