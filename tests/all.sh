#!/bin/sh
# Sets up what the tests need on a Debian machine that has Rust, then runs them all:
# the Rust tests, the checks against reference libraries (Python), and the browser tests (Chromium).
set -eu
cd "$(dirname "$0")/.."

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }
need=''
command -v chromium >/dev/null 2>&1 || need="$need chromium"
command -v node >/dev/null 2>&1 || need="$need nodejs"
command -v npm >/dev/null 2>&1 || need="$need npm"
command -v cc >/dev/null 2>&1 || need="$need build-essential"
python3 -c 'import venv, ensurepip' >/dev/null 2>&1 || need="$need python3-venv"
if [ -n "$need" ]; then
  as_root apt-get update -qq
  # shellcheck disable=SC2086 # a list of packages
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $need >/dev/null
fi

echo '== Rust tests'
cargo test --locked --quiet

echo '== Reference libraries'
[ -x tests/.venv/bin/python ] || python3 -m venv tests/.venv
tests/.venv/bin/python -m pip install --quiet --disable-pip-version-check --requirement tests/reference/requirements.txt
tests/.venv/bin/python tests/reference/run.py

echo '== Browser'
cargo build --locked --quiet
(cd tests/browser && npm install --no-audit --no-fund --no-package-lock --ignore-scripts --silent)
node --test --test-concurrency=1 tests/browser/*.test.mjs
