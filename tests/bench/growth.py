"""How the queries that grew with the seasons take on with the number of seasons, before migration 0044 and after it.

Python's own SQLite, in memory, in the same thread: no server, no page. 200 members, 24 press days a season, 40 turns and
tickets a day, 8 boils a day, ten lines of the ledger a boil. Usage: python3 tests/bench/growth.py
"""

import glob
import json
import re
import sqlite3
import time

NEW = "0044_"
SEASONS = (1, 5, 20)
QUERIES = {  # name: words that only this query has, and what it is asked for in season s
    "queue of a day": (('i.turn_id as "turn_id?',), lambda s: (f"s{s}d03",)),
    "tickets of a day": (("with latest as", "where d.press_day_id = ?1"), lambda s: (f"s{s}d03",)),
    "lines of a member": (("answered_by", "l.season_id = ?1 and l.member_id = ?2"), lambda s: (f"s{s}", "m7")),
    "ledger of a season": (("answered_by", "l.season_id = ?1 order by l.number desc"), lambda s: (f"s{s}",)),
    "boils in a pan": (("b.pan_id = ?1", "closed_boils"), lambda s: ("p", 0)),
    "boils not divided": (("closed_boils v where v.boil_id = b.id) order by b.lit_at",), lambda s: ()),
}


def empty(new):
    db = sqlite3.connect(":memory:")
    for path in sorted(glob.glob("migrations/*.sql")):
        if new or NEW not in path:
            db.executescript(open(path, encoding="utf-8").read())
    # Rows that no action would write: only the tables' shapes count here.
    db.execute("pragma foreign_keys = off")
    db.execute("pragma ignore_check_constraints = on")
    for (name,) in db.execute("select name from sqlite_schema where type = 'trigger'").fetchall():
        db.execute(f"drop trigger {name}")
    return db


def put(db, table, rows):
    blank = {"TEXT": "", "INTEGER": 0, "REAL": 1.0}
    columns = db.execute(f"pragma table_info({table})").fetchall()
    for row in rows:
        full = {c[1]: row.get(c[1], blank[c[2]] if c[3] else None) for c in columns}
        holes = ",".join("?" * len(full))
        db.execute(f"insert into {table} ({','.join(full)}) values ({holes})", list(full.values()))


def fill(db, seasons):
    put(db, "members", [dict(id=f"m{i}", number=i, name=f"Member {i:03}", role="member") for i in range(200)])
    for s in range(seasons):
        put(db, "seasons", [dict(id=f"s{s}", year=2001 + s)])
        if s + 1 < seasons:
            put(db, "season_locks", [dict(season_id=f"s{s}", number=1, locked=1, by_id="m0")])
        for d in range(24):
            day, members = f"s{s}d{d:02}", [f"m{(d * 40 + i) % 200}" for i in range(40)]
            put(db, "press_days", [dict(id=day, season_id=f"s{s}", date=f"{2001 + s}-09-{d + 1:02}", closed_at=1)])
            for i, member in enumerate(members):
                turn, ticket, juice = f"{day}t{i}", f"{day}k{i}", f"{day}j{i}"
                here = dict(press_day_id=day, member_id=member)
                put(db, "turns", [dict(here, id=turn, start_min=i * 15, state="held")])
                put(db, "tickets", [dict(here, id=ticket, season_id=f"s{s}", ticket=d * 40 + i + 1, turn_id=turn)])
                put(db, "loads", [dict(ticket_id=ticket, number=1, version=1, gross_g=9, tare_g=1)])
                put(db, "juices", [dict(id=juice, ticket_id=ticket, vessel_id="v")])
                put(db, "juice_measures", [dict(juice_id=juice, version=1)])
            for b in range(8):
                boil = f"{day}b{b}"
                put(db, "boils", [dict(id=boil, lot_code=boil, season_id=f"s{s}", press_day_id=day, pan_id="p")])
                put(db, "divisions", [dict(id="v" + boil, boil_id=boil, version=1)])
                line = dict(season_id=f"s{s}", boil_id=boil, division_id="v" + boil, by_id="m0", number=None)
                kinds = ("entitled", "jarred")
                put(db, "ledger", [dict(line, member_id=m, kind=k) for m in members[b * 5 : b * 5 + 5] for k in kinds])
    db.commit()


def quickest(db, sql, told):
    holes = max([int(n) for n in re.findall(r"\?(\d+)", sql)] or [0])
    told = (list(told) + [0] * holes)[:holes]
    times = []
    for _ in range(3):
        begun = time.perf_counter()
        db.execute(sql, told).fetchall()
        times.append(time.perf_counter() - begun)
    return min(times) * 1000


def main():
    texts = [" ".join(json.load(open(path))["query"].split()) for path in glob.glob(".sqlx/*.json")]
    print(f"{'ms, quickest of three':24}" + "".join(f"{n:>10}" for n in SEASONS) + "  seasons")
    for new in (False, True):
        dbs = {}
        for seasons in SEASONS:
            dbs[seasons] = empty(new)
            fill(dbs[seasons], seasons)
        for name, (words, asks) in QUERIES.items():
            (sql,) = [text for text in texts if all(word in text for word in words)]
            row = [quickest(dbs[n], sql, asks(n - 1)) for n in SEASONS]
            print(f"{name:24}" + "".join(f"{ms:10.2f}" for ms in row) + ("  after" if new else "  before"))


main()
