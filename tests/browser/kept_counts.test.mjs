// At the pan a reading that is kept counts from its tap until the mill's own word of it is there: on a line that swallows everything,
// which the page says, and between its sending and the next renewal. And time to go and the age of a probe's figure go on without network.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { becomes, shows, start } from './house.mjs';
import { asked, closeLines, cut, hung, keep, litLot, mended, online, phone as phoneOf, says } from './phones.mjs';

let house;
let path;
before(async () => {
  house = await start();
  path = `/boils/${litLot(house)}`;
});
after(async () => {
  await house.stop();
  await closeLines();
});
const phone = () => phoneOf(house);
const weight = (page) => page.evaluate(() => document.body.dataset.weight);
const temp = (page) => page.getByRole('textbox', { name: 'Temperature of the pan' });
const brix = (page) => page.getByRole('textbox', { name: 'Refractometer, °Bx, if read' });
const noteIt = (page) => page.getByRole('button', { name: 'Note the reading' }).last().click();

test('on a line that swallows everything a drop at the target calls within seconds', async () => {
  const { line, page, close } = await phone();
  await page.goto(path);
  await says(page, /All sent/);
  hung(line);
  await brix(page).fill(await page.locator('#reading').getAttribute('data-goal'));
  await noteIt(page);
  await Promise.race([page.locator('#kept-reading').waitFor(), asked(page).waitFor()]);
  if (await asked(page).count() > 0) await asked(page).getByRole('button', { name: /^Yes/ }).click();
  await page.locator('#kept-reading').waitFor();
  await becomes(() => weight(page), 'alarm');
  await shows(page.locator('#live .call'), /By the drop kept here: draw the fire/);
  // A page that comes to the fore asks for a renewal at once.
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.getByText('No connection: these figures are as they were.').waitFor();
  await close();
});

test('what was kept quiets the alarm until the mill has answered, also once it is sent', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => Number(document.body.dataset.seen) * 1000);
  await page.clock.setSystemTime(begun + 40 * 60_000);
  await becomes(() => weight(page), 'alarm', 'silence is an alarm');
  const last = Number(await temp(page).getAttribute('placeholder'));
  await temp(page).fill((last + 1).toFixed(1));
  await noteIt(page);
  await says(page, /1 not sent yet/);
  await becomes(() => weight(page), (now) => now !== 'alarm');
  // From here on every change of the weight is noted.
  await page.evaluate(() => {
    window.heard = [];
    new MutationObserver(() => window.heard.push(document.body.dataset.weight)).observe(document.body, { attributeFilter: ['data-weight'] });
  });
  // Entries go, and the page's renewals come late.
  line.fate = (method, to) => (to.endsWith('/live') ? { late: 3000 } : 'through');
  await online(page);
  await says(page, /not at the mill yet|All sent|as it was at/);
  await page.waitForFunction(() => !/not sent yet/.test(document.getElementById('kept').innerText));
  await page.waitForTimeout(5000);
  assert.ok(!(await page.evaluate(() => window.heard)).includes('alarm'), JSON.stringify(await page.evaluate(() => window.heard)));
  mended(line);
  await close();
});

test('the time to go is counted down without network, and a probe’s figure grows old', async () => {
  const { line, page, close } = await phone();
  await keep(page, path);
  cut(line);
  await page.goto(path);
  await says(page, /as it was at/);
  const begun = await page.evaluate(() => {
    const [call, go] = [document.querySelector('#live [data-weight]'), document.querySelector('#live .beside .big')];
    go.dataset.finish = String(Number(call.dataset.now) + 86 * 60);
    [call.dataset.next, call.dataset.ahead] = [String(Number(call.dataset.now) + 3600), '[]'];
    // As the page of a pan with a probe has it.
    document.getElementById('live').insertAdjacentHTML('beforeend', '<p class="soft"><strong>Probe by the spout: 213.8 °F, 5 s ago</strong></p>');
    return Number(document.body.dataset.seen) * 1000;
  });
  for (const [minutes, words] of [[10.5, /^1 h 1[45] min$/], [30.5, /^5[45] min$/]]) {
    await page.clock.setSystemTime(begun + minutes * 60_000);
    await shows(page.locator('#live .beside .big').first(), words);
    await shows(page.locator('#live > p strong').last(), new RegExp(`^Probe by the spout: 213\\.8 °F, ${Math.floor(minutes)} min ago$`));
  }
  await close();
});

/** The page of the boil, opened before its line is cut. */
async function cutAtPan() {
  const one = await phone();
  await keep(one.page, path);
  cut(one.line);
  const begun = await one.page.evaluate(() => Number(document.body.dataset.renewed));
  const call = () => one.page.locator('#live .call').innerText();
  return { ...one, begun, call, goal: Number(await one.page.locator('#reading').getAttribute('data-goal')) };
}

test('a drop at the target is asked about as the mill would, and calls from its tap on until another is noted', async () => {
  const { page, begun, call, goal, close } = await cutAtPan();
  const drop = (goal + 0.6).toFixed(1);
  await brix(page).fill(drop);
  await noteIt(page);
  await asked(page).getByText(`${drop}, really? By it alone the boil is past its target. If that may be so, draw the fire first.`).waitFor();
  // While the question is open the page calls as if it were so.
  await becomes(call, `If ${drop} is so, draw the fire: read it again`);
  await becomes(() => weight(page), 'alarm');
  await asked(page).getByRole('button', { name: /^Yes/ }).click();
  await page.locator('#kept-reading').waitFor();
  await becomes(call, 'By the drop kept here: draw the fire');
  await becomes(() => page.locator('#live .beside .big').first().innerText(), 'Now');
  for (const minutes of [2.5, 6, 25]) {
    await page.clock.setSystemTime(begun + minutes * 60_000);
    await page.waitForTimeout(1500);
    await becomes(call, 'Past the target by the drop kept here: draw the fire at once', `after ${minutes} min`);
    assert.equal(await weight(page), 'alarm');
    await becomes(() => page.locator('#live .beside .big').first().innerText(), 'Now');
  }
  await page.locator('#kept summary').click();
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByRole('button', { name: 'Really take it back' }).click();
  await says(page, /All sent/);
  await close();
});

test('a drop that the mill asks about holds the call until that is answered, and its note is no good news', async () => {
  const { line, page, call, goal, close } = await cutAtPan();
  const drop = (goal + 0.6).toFixed(1);
  // A page that does not say what the mill believed cannot ask.
  await page.locator('#live .about').evaluate((about) => about.remove());
  await brix(page).fill(drop);
  await noteIt(page);
  await page.locator('#kept-reading').waitFor();
  mended(line);
  await online(page);
  await says(page, /1 needs you/);
  const said = page.locator('#kept-note');
  await said.getByText(new RegExp(`It came back from the mill: .*${drop}, really\\?`)).waitFor();
  assert.equal(await said.getAttribute('class'), 'alarm');
  // After a renewal, too.
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForTimeout(4000);
  assert.equal(await call(), `If ${drop} is so, draw the fire: read it again`);
  assert.equal(await weight(page), 'alarm');
  await page.locator('#kept summary').click();
  await page.getByRole('button', { name: 'Throw it away' }).click();
  await page.getByRole('button', { name: 'Really throw it away' }).click();
  await says(page, /All sent/);
  await becomes(call, (words) => !/is so/.test(words));
  await close();
});

test('a kept reading that is taken back takes its words with it, and one that is far off moves no keys', async () => {
  const { page, close } = await cutAtPan();
  const due = page.locator('#live .next strong');
  // Whatever the tests before have noted: a reading is due in a quarter of an hour.
  await page.locator('#live .call').evaluate((one) => { [one.dataset.every, one.dataset.ahead] = ['900', '[]']; });
  const before = await due.innerText();
  const keys = () => page.locator('button[name=tap]').allInnerTexts();
  const first = Number((await keys())[0]);
  await temp(page).fill((first + 1).toFixed(1));
  await noteIt(page);
  await page.locator('#kept-reading').waitFor();
  await becomes(() => due.innerText(), (words) => words !== before);
  await page.locator('#kept summary').click();
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByRole('button', { name: 'Really take it back' }).click();
  await page.locator('#kept-reading').waitFor({ state: 'detached' });
  await becomes(() => due.innerText(), before);
  const low = (first - 6).toFixed(1);
  await temp(page).fill(low);
  await noteIt(page);
  await asked(page).getByRole('button', { name: `Yes, it is so: ${low}` }).click();
  await page.locator('#kept-reading').waitFor();
  await page.waitForTimeout(1500);
  assert.ok(Math.abs(Number((await keys())[0]) - first) < 2, `the keys went to ${await keys()}`);
  await temp(page).fill((first - 5.5).toFixed(1));
  await noteIt(page);
  await asked(page).getByText(/really\?/).waitFor();
  await close();
});

test('twenty readings kept and the page opened anew: none is lost, and the call is right from the start', async () => {
  const { page, begun, goal } = await cutAtPan();
  const first = Number((await page.locator('button[name=tap]').allInnerTexts())[0]);
  for (let n = 1; n <= 20; n += 1) {
    await page.clock.setSystemTime(begun + n * 60_000);
    await temp(page).fill((first + n * 0.4).toFixed(1));
    if (n === 20) await brix(page).fill((goal + 0.4).toFixed(1));
    await noteIt(page);
    await page.waitForFunction((many) => document.getElementById('kept').innerText.startsWith(`${many} not sent`) || document.querySelector('form .alarm[role=alert]'), n);
    const yes = asked(page).getByRole('button', { name: /^Yes/ });
    if (await yes.count() > 0) await yes.click();
    await says(page, new RegExp(`^${n} not sent yet`));
  }
  const again = await page.context().newPage();
  await page.close();
  await again.clock.setSystemTime(begun + 20.5 * 60_000);
  await again.addInitScript(() => {
    window.heard = [];
    new MutationObserver(() => {
      const words = document.querySelector('#live .call strong')?.textContent;
      if (words && window.heard.at(-1) !== words) window.heard.push(words);
    }).observe(document, { childList: true, subtree: true, characterData: true });
  });
  await again.goto(path);
  await says(again, /20 not sent yet/);
  const heard = () => again.evaluate(() => window.heard.slice(1));
  await becomes(heard, (words) => words.length > 1, 'what the page called after what it was served with');
  assert.deepEqual(await heard(), ['Reading what this phone keeps', 'By the drop kept here: draw the fire']);
  await becomes(() => weight(again), 'alarm');
  await again.context().close();
});

test('the page finds the mill again as soon as anything of this phone has reached it', async () => {
  const { line, page, close } = await cutAtPan();
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  const lost = page.getByText('No connection: these figures are as they were.');
  await lost.waitFor();
  mended(line);
  await online(page);
  await lost.waitFor({ state: 'hidden', timeout: 5000 });
  await close();
});
