#!/bin/sh
# The container of docker-compose.yml, built and run by an engine: health, read-only root, no rights, a restart after kill -9,
# a backup and a restore inside it, a quick stop. Asks for Docker with Compose, or for Podman with podman-compose; without
# either it says so and tests nothing. Builds the program anew: about ten minutes, and the two base images are fetched.
# Not a part of all.sh.
set -u
cd "$(dirname "$0")/.." || exit 1
base=http://127.0.0.1:8080
scratch=$(mktemp -d)
export COMPOSE_PROJECT_NAME=canewright-drill
failed=0

if docker info >/dev/null 2>&1 && docker compose version >/dev/null 2>&1; then
  engine=docker; compose='docker compose'
elif podman info >/dev/null 2>&1 && podman-compose --version >/dev/null 2>&1; then
  engine=podman; compose=podman-compose
else
  echo 'No container engine runs here (Docker with Compose, or Podman with podman-compose): the container is not tested.'
  exit 0
fi

# What is expected of a word and what came of it.
is() {
  if [ "$2" = "$3" ]; then echo "ok: $1"; else failed=1; echo "WRONG: $1: $3 was expected, $2 came"; fi
}
quietly() { "$@" >>"$scratch/engine.log" 2>&1; }
in_it() { $engine exec "$box" "$@" 2>>"$scratch/engine.log"; }
comes_up() {
  for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    [ "$(curl -s -m 2 "$base/health" | head -n 1)" = ok ] && { echo ok; return; }
    sleep 0.5
  done
  echo 'no answer'
}
box_of() { sed -n "s/.*name=\"$1\" value=\"\([^\"]*\)\".*/\1/p" "$scratch/page" | head -n 1; }
at_home() { curl -s -b "$scratch/jar" "$base/" | grep -c 'Drill Creek Mill' | sed 's/^[1-9][0-9]*$/there/'; }

# shellcheck disable=SC2086 # two words
$compose up -d --build >"$scratch/build.log" 2>&1 || { tail -n 20 "$scratch/build.log"; echo 'It could not be built or started.'; exit 1; }
box=$($engine ps --format '{{.Names}}' | grep 'canewright-drill' | head -n 1)
trap '$compose down -v >/dev/null 2>&1; rm -rf "$scratch"' EXIT

is 'it answers' "$(comes_up)" ok
is 'nobody is root in it' "$(in_it id -un)" canewright
is 'its root is read-only, for root too' "$($engine exec -u 0 "$box" sh -c 'touch /tmp/x && touch /x 2>/dev/null || echo refused')" refused
is 'it can get no rights' "$(in_it grep CapBnd /proc/1/status | tr -d '[:space:]')" CapBnd:0000000000000000
is 'the file is its owner’s alone' "$(in_it stat -c %a /data/canewright.db)" 600

code=$($engine logs "$box" 2>&1 | grep -oE '^ +[a-z0-9]{32}$' | tail -n 1 | tr -d ' ')
curl -s -c "$scratch/jar" -b "$scratch/jar" "$base/set-up" >"$scratch/page"
is 'the co-op is set up' "$(curl -s -c "$scratch/jar" -b "$scratch/jar" -o "$scratch/answer" -w '%{http_code}' -H "Origin: $base" \
  --data-urlencode "form_key=$(box_of form_key)" --data-urlencode "token=$(box_of token)" --data-urlencode "code=$code" \
  --data-urlencode 'coop=Drill Creek Mill' --data-urlencode 'place=Drill Creek' --data-urlencode 'zone=America/Chicago' \
  --data-urlencode 'units=us' --data-urlencode 'name=Ada Tester' --data-urlencode 'phone=615 555 0199' \
  --data-urlencode 'sign_in=ada' --data-urlencode 'passphrase=nine wet boots by the door' "$base/set-up")" 303

quietly $engine kill -s KILL "$box"
quietly $engine start "$box"
is 'it comes up again after kill -9' "$(comes_up)" ok
is 'what was stored is there' "$(at_home)" there

is 'a backup is made in it' "$(in_it canewright backup /backup/drill.db >/dev/null && echo made)" made
is 'the backup verifies' "$(in_it canewright verify --database /backup/drill.db >/dev/null && echo sound)" sound
before=$(date +%s)
quietly $engine stop -t 30 "$box"
is 'it stops within ten seconds' "$([ $(($(date +%s) - before)) -le 10 ] && echo yes)" yes
# shellcheck disable=SC2086 # two words
is 'the backup is put in place' "$($compose run --rm --no-deps canewright restore /backup/drill.db --database /data/canewright.db 2>&1 | grep -c 'is in place')" 1
quietly $engine start "$box"
is 'it comes up on the restored file' "$(comes_up)" ok
is 'what was stored is there still' "$(at_home)" there
is 'the file before it was set aside' "$(in_it sh -c 'ls /data' | grep -c 'canewright.db.before-')" 1
exit $failed
