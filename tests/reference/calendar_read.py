"""Reads the feed given with PyPI icalendar and compares every turn with the JSON beside it.

    python calendar_read.py FILE...        needs: icalendar

Also looks at what RFC 5545 and RFC 7986 ask of the whole: one VCALENDAR, VERSION 2.0, PRODID, METHOD
PUBLISH, UID and DTSTAMP in every VEVENT, times in UTC, lines of at most 75 octets ended by CRLF.
"""

import datetime
import json
import sys

from icalendar import Calendar


def seconds(moment):
    assert moment.utcoffset() == datetime.timedelta(0), f"not in UTC: {moment}"
    return int(moment.timestamp())


def read(path):
    with open(path, "rb") as file:
        raw = file.read()
    lines = raw.split(b"\r\n")
    assert lines.pop() == b"", "the last line has no end"
    for line in lines:
        assert len(line) <= 75 and b"\n" not in line and b"\r" not in line, line
        line.decode("utf-8")
    found = Calendar.from_ical(raw, multiple=True)
    assert len(found) == 1, "not one calendar"
    calendar = found[0]
    assert str(calendar["VERSION"]) == "2.0" and str(calendar["PRODID"])
    assert str(calendar["METHOD"]) == "PUBLISH"
    assert not calendar.errors, calendar.errors
    turns = []
    for event in calendar.walk("VEVENT"):
        assert not event.errors, event.errors
        seconds(event["DTSTAMP"].dt)
        turns.append(
            {
                "uid": str(event["UID"]),
                "start": seconds(event["DTSTART"].dt),
                "end": seconds(event["DTEND"].dt),
                "sequence": int(event["SEQUENCE"]),
                "status": str(event["STATUS"]),
                "summary": str(event["SUMMARY"]),
                "location": str(event["LOCATION"]),
            }
        )
    return turns


def main(paths):
    for path in paths:
        with open(path.removesuffix(".ics") + ".json", encoding="utf-8") as file:
            expected = json.load(file)
        for turn in expected:
            del turn["n"]
        turns = read(path)
        key = lambda turn: turn["uid"]
        assert sorted(turns, key=key) == sorted(expected, key=key), f"{turns}\n{expected}"
        print(f"{path}: {len(turns)} turns, the same")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
