"""Runs every check against a reference library on what `cargo test` wrote under target/tmp, and
ends with how many passed. A check whose input is missing has failed.
"""

import glob
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

HERE = os.path.dirname(os.path.abspath(__file__))
WRITTEN = os.path.join(
    os.environ.get("CARGO_TARGET_DIR", os.path.join(HERE, "..", "..", "target")), "tmp"
)

# script, and the files it reads; the longest first
CHECKS = [
    ("season_milp.py", ["proposal/seasons.json"]),
    ("season_milp.py", ["proposal/small_seasons.json"]),
    ("apportion_again.py", ["shares/largest_remainder.csv"]),
    ("calendar_read.py", ["calendar/*.ics"]),
    ("queue_sim.py", ["queue/*.csv"]),
    ("rooms_sim.py", ["rooms/days.json"]),
    ("rooms_sim.py", ["proposal/days.json"]),
    ("qr_read.py", ["qr/*.svg"]),
    ("books_again.py", ["books/*.zip"]),
    ("statements_again.py", ["statements/*.html"]),
    ("trace_graph.py", ["trace/seasons.json"]),
    ("compose_check.py", []),
    ("jar_weights.py", ["full_jars/factors.csv"]),
    ("mail.py", []),  # has our program send letters
    ("metrics_read.py", []),  # reads our program's figures
    ("offsite.py", []),  # replicates our program's database and restores it
    ("water_steam.py", []),  # asks our program for its grid itself
]


def check(script, patterns):
    """Runs one script. Returns whether it passed, and all that it said."""
    files = [f for p in patterns for f in sorted(glob.glob(os.path.join(WRITTEN, p)))]
    if patterns and not files:
        return False, f"{script}: nothing to read in {patterns}: run cargo test first\n"
    done = subprocess.run(
        [sys.executable, os.path.join(HERE, script), *files],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.returncode == 0, done.stdout


def main():
    passed = failed = 0
    # As many at a time as there are processors; each is told whole, in the order of the list.
    with ThreadPoolExecutor(os.cpu_count()) as together:
        running = [(one, together.submit(check, *one)) for one in CHECKS]
        for (script, _), result in running:
            well, said = result.result()
            print(f"-- {script}\n{said}", end="", flush=True)
            passed, failed = passed + well, failed + (not well)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
