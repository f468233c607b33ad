// The scripts as files: types checked by the TypeScript checker, the library as its makers have it.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';

const here = createRequire(import.meta.url);

for (const [which, config] of [['pages', 'tsconfig.json'], ['the worker', 'tsconfig.worker.json']]) {
  test(`the types of the scripts of ${which} hold`, async () => {
    const tsc = here.resolve('typescript/bin/tsc');
    const project = fileURLToPath(new URL(config, import.meta.url));
    const said = await new Promise((resolve) => {
      execFile(process.execPath, [tsc, '-p', project], (error, out) => resolve(error ? out || String(error) : ''));
    });
    assert.equal(said, '');
  });
}

test('the library of the store is idb as npm has it, below its licence', () => {
  const ours = readFileSync(new URL('../../static/idb.js', import.meta.url), 'utf8');
  const theirs = readFileSync(new URL('node_modules/idb/build/index.js', import.meta.url), 'utf8');
  const { version, license } = JSON.parse(readFileSync(new URL('node_modules/idb/package.json', import.meta.url), 'utf8'));
  const head = ours.slice(0, ours.length - theirs.length);
  assert.equal(ours.slice(head.length), theirs);
  assert.match(head, new RegExp(`idb ${version.replaceAll('.', '\\.')}\\b`));
  assert.match(head, /Copyright \(c\) 2016, Jake Archibald/);
  assert.equal(license, 'ISC');
  assert.ok(head.split('\n').slice(0, -1).every((line) => line.startsWith('//')), 'nothing but comments above it');
});
