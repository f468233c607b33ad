// The house under test: the demo co-op on a port of its own, a real Chromium, and the hands that
// work its pages. Holds no assertion about any one page.

import assert from 'node:assert/strict';
import { execFile, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { createServer } from 'node:net';
import { dirname, join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { isDeepStrictEqual } from 'node:util';
import { chromium } from 'playwright-core';

const TOP = fileURLToPath(new URL('../../', import.meta.url));
export const BINARY = join(process.env.CARGO_TARGET_DIR ?? join(TOP, 'target'), 'debug', 'canewright');
const PYTHON = join(TOP, 'tests', '.venv', 'bin', 'python');
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** The rules of axe-core that look at colours. */
const COLOURS = { type: 'rule', values: ['color-contrast', 'color-contrast-enhanced', 'link-in-text-block'] };

/** The passphrase of everybody in the demo. */
export const PASSPHRASE = 'press day in october';
/** A phone and a desk, in CSS pixels. */
export const PHONE = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true };
export const DESK = { viewport: { width: 1280, height: 900 } };

/** A port that nobody listens on. */
function freePort() {
  return new Promise((resolve) => {
    const held = createServer().listen(0, '127.0.0.1', () => {
      const { port } = held.address();
      held.close(() => resolve(port));
    });
  });
}

/** Starts the demo and a browser; `stop()` ends both and fails if the server did not end well. `known`: the demo is told
 * the address that people reach it by, so that codes and links are printed. `empty`: no demo, a co-op that nobody set up yet;
 * `code` is its set-up code then. */
export async function start({ known = false, empty = false } = {}) {
  assert.ok(existsSync(BINARY), `${BINARY} is not there: run cargo build first`);
  const scratch = mkdtempSync(join(tmpdir(), 'canewright-browser-'));
  const database = join(scratch, 'demo.db');
  const at = `127.0.0.1:${known ? await freePort() : 0}`;
  const told = known ? ['--public-url', `http://${at}`] : [];
  const server = spawn(BINARY, [...(empty ? ['serve', '--new'] : ['demo']), '--database', database, '--listen', at, ...told],
    { env: { PATH: process.env.PATH, RUST_LOG: 'warn' } });
  const ended = new Promise((resolve) => server.once('exit', resolve));
  let said = '';
  let log = '';
  server.stderr.on('data', (text) => { log += text; });
  const url = await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.once('exit', () => reject(new Error(`the server ended at once: ${log}`)));
    server.stdout.on('data', (text) => {
      said += text;
      const found = said.match(/Serving on (\S+)\n/);
      if (found) resolve(found[1]);
    });
  });
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
  const stop = async () => {
    await browser.close();
    server.kill('SIGTERM');
    const code = await ended;
    rmSync(scratch, { recursive: true });
    assert.equal(code, 0, `the server ended with ${code}: ${log}`);
    assert.match(said, /Stopped in good order/);
    assert.doesNotMatch(log, /ERROR|panicked/, 'the server logged an error');
  };
  const code = said.match(/set-up code, once:\s+(\S+)/)?.[1];
  return { url, browser, scratch, code, stop };
}

/** Waits until an element says these words, whatever a script of the page still has to do first. */
export async function shows(element, words) {
  let text = '';
  for (let tries = 0; tries < 300; tries += 1) {
    text = await element.innerText();
    if (words.test(text)) return;
    await element.page().waitForTimeout(100);
  }
  assert.match(text, words);
}

/** Reads until what is found is so (equal to `so`, or by it where it is a function), for 30 s: a page looks at itself once a second. */
export async function becomes(read, so, why) {
  const holds = typeof so === 'function' ? so : (found) => isDeepStrictEqual(found, so);
  let found = await read();
  for (let tries = 0; tries < 300 && !holds(found); tries += 1) {
    await setTimeout(100);
    found = await read();
  }
  assert.ok(holds(found), `${why ?? 'it does not become so'}: ${JSON.stringify(found)}, not ${typeof so === 'function' ? so : JSON.stringify(so)}`);
  return found;
}

/** A page of a new visitor. `page.faults` gathers errors of the console, of scripts and of the CSP. */
export async function visitor(house, options = PHONE) {
  const context = await house.browser.newContext({ baseURL: house.url, ...options });
  context.setDefaultTimeout(45_000);
  const page = await context.newPage();
  page.faults = [];
  page.scripted = options.javaScriptEnabled !== false;
  const fault = (what) => page.faults.push(`${new URL(page.url()).pathname}: ${what}`);
  page.on('console', (message) => {
    // Chromium reports every answer of 4xx as an error of the console; those are asserted on as pages.
    const expected = /the server responded with a status of 4\d\d/.test(message.text());
    if (['error', 'warning'].includes(message.type()) && !expected) fault(message.text());
  });
  page.on('pageerror', (error) => fault(error.message));
  page.on('requestfailed', (request) => {
    // What a script asks for by itself may be cut off when the page is left.
    const left = request.resourceType() === 'fetch' && request.failure()?.errorText === 'net::ERR_ABORTED';
    if (!left) fault(`${request.url()} ${request.failure()?.errorText}`);
  });
  return page;
}

/** Signs in by the form, on a new context. */
export async function signIn(house, name, options = PHONE) {
  const page = await visitor(house, options);
  await page.goto('/');
  await page.getByLabel('Name').fill(name);
  await page.getByLabel('Passphrase').fill(PASSPHRASE);
  await tap(page, 'button', 'Sign in');
  await sees(page, /Signed in as/, 'body');
  return page;
}

/** Opens an address and looks the page over. */
export async function go(page, path) {
  const answer = await page.goto(path);
  await axe(page);
  return answer;
}

/**
 * Taps a link or a button that leads to another page, waits for it, and looks it over. `within` is
 * a locator to look in; of several of the same name the first is taken.
 */
export async function tap(page, role, name, within = page) {
  const target = within.getByRole(role, { name }).first();
  const loaded = page.waitForEvent('domcontentloaded');
  await target.click();
  await loaded;
  page.taps = (page.taps ?? 0) + 1;
  await axe(page);
}

/**
 * Weighs a load in on the page as it stands, as a thumb does it: on a phone with scripts one figure at a time with the
 * page's own keys, else on the plain form. `seen` is filled in behind the line of further boxes; sends nothing.
 */
export async function weigh(page, gross, tare, seen = async () => {}) {
  const stepping = await page.locator('body.stepping').count() > 0;
  await page.getByLabel('Gross').fill(gross);
  if (stepping) await page.getByRole('button', { name: 'Next' }).click();
  await page.getByRole('textbox', { name: 'Tare' }).fill(tare);
  if (stepping) await page.getByRole('button', { name: 'Next' }).click();
  await seen();
}

/** Fills the boxes of a weigh-in of somebody without a turn; sends nothing. */
export async function weighIn(page, name, gross, tare) {
  const list = page.locator('#f-member');
  if (!await list.isVisible()) await page.getByText('Somebody without a turn').click();
  const find = page.getByLabel('Find by name or number');
  if (await find.count() > 0) await find.fill(name);
  // On a phone that asks one figure after the other the tap is the answer.
  await list.locator('label', { hasText: `${name}, no.` }).first().click();
  await weigh(page, String(gross), String(tare));
}

/** What the page says must match, at once or as soon as the page has come. */
export async function sees(page, words, where = 'main') {
  let text = '';
  for (let tries = 0; tries < 300; tries += 1) {
    text = await page.locator(where).innerText();
    if (words.test(text)) return;
    await page.waitForTimeout(100);
  }
  assert.match(text, words, `${new URL(page.url()).pathname} does not say ${words}; it says:\n${text.slice(0, 1500)}`);
}

/** What the page says must not match. */
export async function misses(page, words, where = 'main') {
  const text = await page.locator(where).innerText();
  assert.doesNotMatch(text, words, `${new URL(page.url()).pathname} says ${words}`);
}

/** The figure beside a word in a list of facts. */
export async function fact(page, word) {
  const found = page.locator(`dl.facts dt:text-is("${word}") + dd`);
  return (await found.first().innerText()).trim();
}

/** Names of the pages that this build was found in order with, by how they are made: shared by all files of a run. */
const LOOKED_OVER = join(dirname(BINARY), '..', 'tmp', 'looked-over', `${existsSync(BINARY) ? statSync(BINARY).mtimeMs : 0}`);

/** How a page is made, for axe-core's rules: its elements with all that they say of themselves, but for figures and words. */
const makeOf = (page) => page.evaluate(() => {
  const SAID = /^(href|action|formaction|src|value|content|title|datetime|placeholder|d|points|data-.*)$/;
  const parts = [innerWidth, matchMedia('(prefers-color-scheme: dark)').matches];
  const walk = (node) => {
    if (node.nodeType === Node.TEXT_NODE) { if (node.textContent.trim()) parts.push('t'); return; }
    if (node.nodeType !== Node.ELEMENT_NODE) return;
    parts.push('<', node.localName, node.checkVisibility() ? '' : '-');
    for (const { name, value } of node.attributes) parts.push(name, SAID.test(name) ? value && 't' : value.replace(/[0-9a-f-]{20,}|[0-9]+/g, '0'));
    node.childNodes.forEach(walk);
    parts.push('>');
  };
  walk(document.documentElement);
  return parts.join(' ');
});

/**
 * axe-core on the page as it stands (WCAG 2.0, 2.1, 2.2 A and AA; with `sun` text at 7:1): no violation.
 * `colours`: the rules of colour alone, for a page that was looked over whole in its other look. A page that is made as one
 * that was in order is not looked over twice.
 */
export async function axe(page, sun = false, colours = false) {
  if (!page.scripted) return;
  const make = createHash('sha256').update(`${sun} ${colours} ${AXE.length} ${await makeOf(page)}`).digest('hex');
  const mark = join(LOOKED_OVER, make);
  if (existsSync(mark)) return;
  if (!await page.evaluate(() => 'axe' in window)) await page.evaluate(AXE);
  // A page may renew itself only beside a link that stops it (WCAG 2.2.1, turn off).
  const stops = await page.getByRole('link', { name: 'Hold still' }).count() > 0;
  const found = await page.evaluate(([only, enhanced, renews]) => axe.run(document, {
    runOnly: only,
    rules: {
      'target-size': { enabled: true },
      'color-contrast-enhanced': { enabled: enhanced },
      'meta-refresh': { enabled: !renews },
    },
    resultTypes: ['violations'],
  }), [colours ? COLOURS : { type: 'tag', values: RULES }, sun, stops]);
  const told = found.violations.flatMap((v) =>
    v.nodes.map((n) => `${v.id}: ${n.target.join(' ')}: ${n.failureSummary?.split('\n')[1] ?? v.help}`));
  assert.deepEqual(told, [], `axe-core on ${new URL(page.url()).pathname}`);
  mkdirSync(LOOKED_OVER, { recursive: true });
  writeFileSync(mark, '');
}

/** Runs one of the Python checks; gives what it printed, fails with it when the check fails. */
export async function python(script, ...words) {
  assert.ok(existsSync(PYTHON), `${PYTHON} is not there: sh tests/all.sh makes it`);
  const path = join(TOP, 'tests', 'reference', script);
  return new Promise((resolve, reject) => {
    execFile(PYTHON, [path, ...words.map(String)], (error, out, err) =>
      error ? reject(new Error(`${script}: ${out}${err}`)) : resolve(out));
  });
}
