"""The program's pages beside an ordinary scripting stack that serves the same page, and what the program takes to start, in
memory and in bytes.

    python tests/bench/script_stack.py CANEWRIGHT        needs: jinja2, waitress (PyPI); Linux

CANEWRIGHT is a release build. The demo's file is the data, with members added up to 200. The scripting stack is Python with
sqlite3, Jinja2 and waitress (four threads): it looks the session up, asks ten to fourteen queries for what the page shows, fills
the page's own HTML as a template in which every text is a variable, escapes it, and answers with gzip of level 6. Both are asked
by eight connections that are kept, in turns of a second and a half, five rounds. What counts is the processor time that a server takes
for a request (from /proc), since other programs run on the machine and the one that asks is slower than the program. A wrong
answer ends it.
"""

import hashlib
import http.client
import json
import os
import re
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid

ROUNDS, SECONDS, LINES, MEMBERS = 5, 1.5, 8, 200
TICK = os.sysconf("SC_CLK_TCK")
TOKEN = "four-mules-in-a-row-and-a-fifth-behind-them"

STACK = '''
import gzip, hashlib, json, re, sqlite3, sys
import jinja2, waitress
database, pages = sys.argv[1], json.load(open(sys.argv[2]))
env = jinja2.Environment(autoescape=True)
made = {path: (env.from_string(page["template"]), page["texts"], page["queries"]) for path, page in pages.items()}
import threading
local = threading.local()

def application(environ, start):
    if not hasattr(local, "db"):
        local.db = sqlite3.connect(f"file:{database}?mode=ro", uri=True)
        local.db.row_factory = sqlite3.Row
    path = environ["PATH_INFO"] + ("?" + environ["QUERY_STRING"] if environ["QUERY_STRING"] else "")
    token = re.search("canewright=([^;]+)", environ.get("HTTP_COOKIE", ""))
    known = token and local.db.execute("select m.* from sessions s join members m on m.id = s.member_id where token_hash = ?",
        (hashlib.sha256(token.group(1).encode()).hexdigest(),)).fetchone()
    if not known or path not in made:
        start("403 Forbidden", [])
        return [b""]
    template, texts, queries = made[path]
    rows = [local.db.execute(sql, {"member": known["id"]}).fetchall() for sql in queries]
    page = template.render(t=texts, rows=rows, name=known["name"]).encode()
    body = gzip.compress(page, 6)
    start("200 OK", [("content-type", "text/html; charset=utf-8"), ("content-encoding", "gzip")])
    return [body]

waitress.serve(application, listen="127.0.0.1:" + sys.argv[3], threads=4, _quiet=True)
'''

HOME = [  # what a member's home shows
    "select * from coop",
    "select * from seasons order by year desc limit 1",
    "select * from season_rules r left join rules_confirmed c on c.rules_id = r.id order by r.number desc",
    "select b.*, d.date from turns b join press_days d on d.id = b.press_day_id where b.member_id = :member and b.state = 'held'",
    "select * from waiting where member_id = :member",
    "select o.* from offers o join waiting w on w.id = o.waiting_id where w.member_id = :member and o.answer is null",
    "select t.*, d.date from tickets t join press_days d on d.id = t.press_day_id where t.member_id = :member order by t.ticket desc",
    "select l.* from loads l join tickets t on t.id = l.ticket_id where t.member_id = :member",
    "select j.* from juices j join tickets t on t.id = j.ticket_id where t.member_id = :member",
    "select s.*, v.boil_id from shares s join divisions v on v.id = s.division_id where s.member_id = :member",
    "select * from ledger where member_id = :member order by number desc",
    "select * from notices where member_id = :member order by rowid desc limit 20",
    "select * from press_days order by date",
]
BOOKING = [  # what the booking of a day shows
    "select * from coop",
    "select * from press_days order by date",
    "select * from season_rules r left join rules_confirmed c on c.rules_id = r.id order by r.number desc",
    "select b.* from turns b join press_days d on d.id = b.press_day_id where b.state = 'held'",
    "select o.* from offers o where o.answer is null",
    "select * from booked_minutes",
    "select * from standstills",
    "select * from pans where retired_at is null",
    "select * from vessels where retired_at is null",
    "select * from turns where member_id = :member",
]


def cpu(pid):
    stat = open(f"/proc/{pid}/stat").read().rsplit(")", 1)[1].split()
    return (int(stat[11]) + int(stat[12])) / TICK


def memory(pid, what):
    return int(re.search(what + r":\s+(\d+)", open(f"/proc/{pid}/status").read()).group(1)) / 1024


def get(line, path):
    line.request("GET", path, headers={"cookie": f"canewright={TOKEN}", "accept-encoding": "gzip"})
    answer = line.getresponse()
    return answer.status, answer.read()


def asked(port, path, size):
    """Asks as long as a turn lasts; how many answers came."""
    ends, counts, wrong = time.monotonic() + SECONDS, [], []

    def one():
        line, count = http.client.HTTPConnection("127.0.0.1", port), 0
        while time.monotonic() < ends:
            status, body = get(line, path)
            if status != 200 or abs(len(body) - size) > size / 10:
                wrong.append((status, len(body)))
                return
            count += 1
        counts.append(count)

    lines = [threading.Thread(target=one) for _ in range(LINES)]
    [line.start() for line in lines]
    [line.join() for line in lines]
    assert not wrong, f"{path}: {wrong[0]}"
    return sum(counts)


def served(binary, database):
    begun = time.monotonic()
    server = subprocess.Popen([binary, "serve", "--database", database, "--listen", "127.0.0.1:0"],
                              stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    for told in server.stdout:
        if found := re.search(r"Serving on http://127.0.0.1:(\d+)", told):
            port = int(found.group(1))
            status, _ = get(http.client.HTTPConnection("127.0.0.1", port), "/sign-in")
            assert status in (200, 303), status
            return server, port, (time.monotonic() - begun) * 1000
    raise AssertionError("the program does not serve")


def template_of(page):
    """The page with every text as a variable."""
    texts = []

    def put(found):
        if not found.group(1).strip():
            return found.group(0)
        texts.append(found.group(1))
        return f">{{{{ t[{len(texts) - 1}] }}}}<"

    return re.sub(r">([^<>{}]+)<", put, page.replace("{", "&#123;")), texts


def prepared(binary, folder):
    made, database = os.path.join(folder, "demo.db"), os.path.join(folder, "mill.db")
    demo = subprocess.Popen([binary, "demo", "--database", made, "--listen", "127.0.0.1:0"], stdout=subprocess.PIPE,
                            stderr=subprocess.DEVNULL, text=True)
    for told in demo.stdout:
        if "Serving on" in told:
            break
    demo.terminate()
    demo.wait()
    shutil.copy(made, database)
    db = sqlite3.connect(database)
    db.row_factory = sqlite3.Row
    like = dict(db.execute("select * from members where role = 'member' order by number limit 1").fetchone())
    last = db.execute("select max(number) from members").fetchone()[0]
    for number in range(last + 1, MEMBERS + 1):
        row = like | {"id": str(uuid.uuid4()), "number": number, "name": f"Member {number:03}"}
        db.execute(f"insert into members ({','.join(row)}) values ({','.join('?' * len(row))})", list(row.values()))
    # A day to book that is still to come, like the last one.
    day = dict(db.execute("select * from press_days order by date desc limit 1").fetchone())
    day |= {"id": str(uuid.uuid4()), "date": time.strftime("%Y-%m-%d", time.gmtime(time.time() + 86400)), "closed_at": None}
    db.execute(f"insert into press_days ({','.join(day)}) values ({','.join('?' * len(day))})", list(day.values()))
    whose = db.execute("select m.id from members m join turns b on b.member_id = m.id where m.role = 'member' and b.state = 'held' "
                       "order by m.number limit 1").fetchone()[0]
    at = int(time.time())
    db.execute("insert into sessions (token_hash, member_id, made_at, seen_at, ends_at) values (?, ?, ?, ?, ?)",
               (hashlib.sha256(TOKEN.encode()).hexdigest(), whose, at, at, at + 86400))
    # What was put in by hand here is not sealed; the program would keep nothing between pages while the last record is not.
    for (name,) in db.execute("select name from sqlite_schema where type = 'trigger' and tbl_name = 'records'").fetchall():
        db.execute(f"drop trigger {name}")
    db.execute("delete from records where digest = ''")
    db.commit()
    return database


def main():
    binary = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        database = prepared(binary, folder)
        starts = []
        for _ in range(5):
            server, port, took = served(binary, database)
            starts.append(took)
            server.terminate()
            server.wait()
        server, port, took = served(binary, database)
        rest = memory(server.pid, "VmRSS")
        line = http.client.HTTPConnection("127.0.0.1", port)
        import gzip
        days = gzip.decompress(get(line, "/days")[1]).decode()
        day = re.findall(r'href="(/days/[0-9-]+/book)', days)
        assert day, "no day is open for booking"
        pages = {"/": HOME, day[0] + "?told=weight&amount=100": BOOKING}
        told, sizes = {}, {}
        for path, queries in pages.items():
            status, body = get(line, path)
            page = gzip.decompress(body).decode()
            says = "Good day" if path == "/" else 'name="start"'
            assert status == 200 and says in page, f"{path}: {status}, without {says}"
            template, texts = template_of(page)
            told[path], sizes[path] = {"template": template, "texts": texts, "queries": queries}, len(body)
        with open(os.path.join(folder, "pages.json"), "w") as file:
            json.dump(told, file)
        with open(os.path.join(folder, "stack.py"), "w") as file:
            file.write(STACK)
        other = subprocess.Popen([sys.executable, os.path.join(folder, "stack.py"), database,
                                  os.path.join(folder, "pages.json"), str(port + 1)])
        time.sleep(1.5)
        try:
            told_of((server, port, other), (pages, sizes), (starts, rest))
        finally:
            other.terminate()
            server.terminate()


def told_of(servers, asked_for, at_rest):
    (server, port, other), (pages, sizes), (starts, rest) = servers, asked_for, at_rest
    print(f"start to the first answer: {statistics.median(starts):.0f} ms (median of five); memory at rest {rest:.0f} MB")
    for path in pages:
        ratios, own, script = [], [], []
        status, body = get(http.client.HTTPConnection("127.0.0.1", port + 1), path)
        assert status == 200, f"scripting stack, {path}: {status}"
        size = len(body)
        for _ in range(ROUNDS):
            took = []
            for pid, at, expected in ((server.pid, port, sizes[path]), (other.pid, port + 1, size)):
                before = cpu(pid)
                count = asked(at, path, expected)
                took.append((cpu(pid) - before) / count * 1000)
            own.append(took[0])
            script.append(took[1])
            ratios.append(took[1] / took[0])
        print(f"{path}: {sizes[path]} bytes with gzip; processor time of a request: program {statistics.median(own):.2f} ms, scripting "
              f"stack {statistics.median(script):.2f} ms, {statistics.median(ratios):.1f} times as much ({min(ratios):.1f} to {max(ratios):.1f}); memory after: "
              f"program {memory(server.pid, 'VmRSS'):.0f} MB (most {memory(server.pid, 'VmHWM'):.0f}), scripting stack {memory(other.pid, 'VmRSS'):.0f} MB")


if __name__ == "__main__":
    main()
