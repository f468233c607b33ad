// A recall of every load of the demo: the lots it names hold the ticket, and its jars are those that were filled.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PHONE, go, signIn, start, tap } from './house.mjs';

let house;
before(async () => { house = await start({ known: true }); });
after(async () => { await house.stop(); });

/** The figure in the row of a table that begins with some words. */
async function figure(page, words) {
  const row = page.locator('tr', { has: page.getByRole('rowheader', { name: words, exact: true }) }).first();
  return Number((await row.locator('td').first().innerText()).replace(/\D/g, ''));
}

/** Jars filled of a lot, and the numbers of its tickets, as its own page has them. */
async function lotOf(page, href) {
  await go(page, href);
  const text = await page.locator('main').innerText();
  const filled = Number(text.match(/(\d+) jars? (?:(?:are|is) at the mill, )?filled/)?.[1] ?? 0);
  return { filled, tickets: [...text.matchAll(/Ticket (\d+),/g)].map((found) => Number(found[1])) };
}

test('a drill from every load of the demo finds the jars of exactly the lots that hold its ticket', async (t) => {
  const page = await signIn(house, 'delia', PHONE);
  const lots = new Map();
  const held = new Map();
  let drills = 0;
  for (let ticket = 1; ticket < 200; ticket += 1) {
    await go(page, `/recalls/new?kind=load&which=${ticket}%2F1`);
    await page.getByText('A drill, to practise').click();
    await page.getByLabel('Why').fill('Practice');
    await tap(page, 'button', 'Find every jar');
    if (!/\/recalls\/\d+$/.test(page.url())) {
      const said = await page.locator('main').innerText();
      if (/There is no ticket/.test(said)) break;
      assert.match(said, /no jar holds it|has no load 1/);
      continue;
    }
    drills += 1;
    const touched = await figure(page, 'Touched');
    assert.equal(await figure(page, 'Not accounted for'), touched, 'nobody was asked yet');
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= document.documentElement.clientWidth), 'fits 390 px');
    const links = page.locator('main a.code');
    const hrefs = await links.evaluateAll((all) => all.map((a) => a.getAttribute('href')));
    let filled = 0;
    for (const href of hrefs) {
      if (!lots.has(href)) lots.set(href, await lotOf(page, href));
      const lot = lots.get(href);
      filled += lot.filled;
      assert.ok(lot.tickets.includes(ticket), `${href} holds ticket ${ticket}`);
    }
    assert.equal(touched, filled, `ticket ${ticket}`);
    held.set(ticket, new Set(hrefs));
  }
  assert.ok(drills > 10, `${drills} drills`);
  // Backwards: every lot that says it holds a ticket is named by the drill from it.
  for (const [href, lot] of lots) {
    for (const ticket of lot.tickets) {
      assert.ok(lot.filled === 0 || held.get(ticket)?.has(href), `ticket ${ticket} leads to ${href}`);
    }
  }
  t.diagnostic(`${drills} drills, ${lots.size} lots`);
});
