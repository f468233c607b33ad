// At the pan without network: a reading that is kept on this phone counts for its alarms as one that the mill has. It starts
// the countdown to the next reading anew and quiets what time alone had brought, unless it is at the mark itself.

import { clock } from "./kept-line.js";
import { typed } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/** Where time alone had brought an alarm, a reading quiets it for so long, s: as the mill's own button does. */
const ALARM_S = 5 * 60;
/** The earliest and the latest that the next reading is asked for, s. */
const NEXT_S = [60, 15 * 60];

/** What the pan showed; nothing: it was no reading of this moment. @param {Entry} entry */
function shown(entry) {
  const of = typed(entry, "tap") || typed(entry, "temp");
  return typed(entry, "read_at") === "" && typed(entry, "replaces") === "" ? of || typed(entry, "brix") : "";
}

/** Whether time alone had brought an alarm by then. @param {HTMLElement} call @param {number} at by the mill's clock, s */
function alarmBy(call, at) {
  /** @type {[number, string, string][]} */
  const steps = JSON.parse(call.dataset.ahead || "[]");
  return (steps.filter(([from]) => from <= at).pop()?.[1] ?? call.dataset.weight) === "alarm";
}

/**
 * Shows the last reading that is kept, and tells the page's alarms of it.
 * @param {Entry[]} entries
 */
export function showReading(entries) {
  const call = document.querySelector("#live [data-weight]");
  const of = entries.filter((entry) => entry.state === "waits" && entry.target === `${location.pathname}/readings` && shown(entry) !== "");
  const last = of.at(-1);
  const old = document.getElementById("kept-reading");
  if (!last || !(call instanceof HTMLElement)) {
    old?.remove();
    delete document.body.dataset.kept;
    return;
  }
  const every = Math.min(Math.max(Number(call.dataset.every) || ALARM_S, NEXT_S[0] ?? 0), NEXT_S[1] ?? 0);
  const loud = alarmBy(call, last.tapped - (last.ahead ?? 0));
  const temp = Number((typed(last, "tap") || typed(last, "temp")).replace(",", "."));
  const mark = Number(call.dataset.mark);
  const there = temp > 0 && mark > 0 && temp >= mark;
  const says = there ? { weight: "alarm", words: "By the reading kept here: draw the fire, then check with the refractometer", quiet: false } : {};
  document.body.dataset.kept = JSON.stringify({ until: (last.tapped + (loud ? Math.min(every, ALARM_S) : every)) * 1000, says });
  const words = `Kept on this phone: ${shown(last)} at ${clock(last.tapped * 1000)}. The next reading is counted from it.`;
  if (old?.textContent === words) return;
  const note = document.createElement("p");
  [note.id, note.className, note.textContent] = ["kept-reading", "note", words];
  old?.remove();
  document.getElementById("live")?.before(note);
}
