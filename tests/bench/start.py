"""How long the program takes from its start to the first answer on a file that exists, and what memory it has then and after a
walk through some pages that need nobody signed in.

    cargo build --release
    LIMITS_SEASONS=20 LIMITS_KEEP=/tmp/twenty.db cargo bench --bench limits
    python3 tests/bench/start.py target/release/canewright /tmp/twenty.db

Each start is on a copy of its own, since the first one on a file may bring it up to date. Nothing here fails on a time.
"""

import http.client
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

STARTS = 7


def first_answer(binary, database):
    begun = time.monotonic()
    server = subprocess.Popen([binary, "serve", "--database", database, "--listen", "127.0.0.1:0"],
                              stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    for told in server.stdout:
        if found := re.search(r"Serving on http://127.0.0.1:(\d+)", told):
            line = http.client.HTTPConnection("127.0.0.1", int(found.group(1)))
            line.request("GET", "/sign-in")
            answer = line.getresponse()
            answer.read()
            assert answer.status == 200, answer.status
            took = (time.monotonic() - begun) * 1000
            time.sleep(2)
            status = open(f"/proc/{server.pid}/status").read()
            memory = int(re.search(r"VmRSS:\s+(\d+)", status).group(1)) / 1024
            server.terminate()
            server.wait()
            return took, memory
    raise AssertionError("the program does not serve")


def main(binary, made):
    with tempfile.TemporaryDirectory() as folder:
        taken, memory = [], []
        for nth in range(STARTS):
            database = os.path.join(folder, f"{nth}.db")
            shutil.copy(made, database)
            took, rest = first_answer(binary, database)
            taken.append(took)
            memory.append(rest)
    print(f"{os.path.getsize(made) / 1e6:.0f} MB: start to the first answer {statistics.median(taken):.0f} ms "
          f"({min(taken):.0f} to {max(taken):.0f}), memory {statistics.median(memory):.0f} MB")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
