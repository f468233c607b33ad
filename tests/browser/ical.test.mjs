// Reads the feed that `cargo test` wrote with npm ical.js and compares every turn with the JSON beside it.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import ICAL from "ical.js";

const here = dirname(fileURLToPath(import.meta.url));
const target = process.env.CARGO_TARGET_DIR ?? join(here, "..", "..", "target");
const folder = join(target, "tmp", "calendar");

test("ical.js reads the same turns out of the feed", () => {
  const expected = JSON.parse(readFileSync(join(folder, "crew.json"), "utf8"));
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(join(folder, "crew.ics"), "utf8")));
  assert.equal(calendar.getFirstPropertyValue("method"), "PUBLISH");
  const turns = calendar.getAllSubcomponents("vevent").map((component) => {
    const event = new ICAL.Event(component);
    assert.equal(event.startDate.zone.tzid, "UTC");
    return {
      uid: event.uid,
      start: event.startDate.toUnixTime(),
      end: event.endDate.toUnixTime(),
      sequence: event.sequence,
      status: component.getFirstPropertyValue("status"),
      summary: event.summary,
      location: event.location,
    };
  });
  const byUid = (a, b) => a.uid.localeCompare(b.uid);
  for (const turn of expected) delete turn.n;
  assert.deepEqual(turns.sort(byUid), expected.sort(byUid));
});
