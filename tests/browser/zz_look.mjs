import { start, signIn, go, PHONE } from './house.mjs';
import { contrast, overflow, smallTargets, spaced, wire } from './look.mjs';
const house = await start();
const seen = async (page, name, path) => {
  if (path) await go(page, path);
  console.log(name, page.url(), 'small', await smallTargets(page), 'over', await overflow(page));
  await page.screenshot({ path: `/tmp/cw/shots/${name}.png`, fullPage: true });
};
try {
  const otis = await signIn(house, 'otis');
  await seen(otis, 'home');
  await otis.getByRole('link', { name: 'Look at it' }).first().click();
  await otis.waitForLoadState();
  await seen(otis, 'entry');
  await seen(otis, 'day', '/days/2026-10-24');
  await seen(otis, 'days', '/days');
  await seen(otis, 'book', '/days/2026-10-24/book?told=weight&amount=480');
  const ruth = await signIn(house, 'ruth');
  await seen(ruth, 'list', '/days/2026-10-24/waiting');
  await ruth.getByRole('link', { name: 'Otis Pruittmoore' }).first().click();
  await ruth.waitForLoadState();
  await seen(ruth, 'overrides');
  await seen(ruth, 'board', '/days/2026-10-24');
  await seen(ruth, 'calls', '/calls');
  await otis.goto('/');
  await otis.getByRole('button', { name: 'Take this turn' }).click();
  await otis.waitForLoadState();
  await seen(otis, 'turn');
} finally { await house.stop(); }
