// At the pan without network: a reading that is kept on this phone counts for its alarms as one that the mill has. It starts
// the countdown to the next reading anew and quiets what time alone had brought, unless it is at the mark itself. A figure that
// nobody would expect of this boil quiets nothing before somebody has said that it is so.

import { clock } from "./kept-line.js";
import { typed } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-doubts.js").Doubt} Doubt */

/** Where time alone had brought an alarm, a reading quiets it for so long, s: as the mill's own button does. */
const ALARM_S = 5 * 60;
/** The earliest and the latest that the next reading is asked for, s. */
const NEXT_S = [60, 15 * 60];
/** A thermometer that shows so much less than it did, or than is expected, is asked about, and so much more than the mark, °C. */
const [LESS_C, MORE_C] = [2, 3];
/** So much less than the last drop is asked about, °Bx: what boils only thickens. */
const LESS_BX = 3;
/** So near below the mark or the Brix aimed at, °C and °Bx, the next reading is asked for after that time, s: the last degrees take minutes. */
const [NEAR_C, NEAR_BX, NEAR_S] = [2, 6, 2 * 60];
/** For so long a fire that was said to be drawn is known to be, s. */
const DRAWN_S = 12 * 3600;

/** A figure as it was typed; not a number where it cannot be read as one. @param {string | undefined} text */
const figure = (text) => {
  const plain = (text ?? "").trim().replace(/\s*°?\s*(f|c|bx)$/i, "").replace(",", ".").replace("−", "-");
  return /^-?\d*\.?\d+$/.test(plain) ? Number(plain) : NaN;
};

/** @param {string} id */
function box(id) {
  const found = document.getElementById(id);
  return found instanceof HTMLInputElement ? found : null;
}

/** How many of the page's degrees one °C is. */
const degreesOfC = () => (box("f-temp")?.labels?.[0]?.textContent?.includes("°F") ? 1.8 : 1);

/** What was read: temperature in the degrees of the page, and Brix. @param {Entry} entry */
const readOf = (entry) => ({ temp: figure(typed(entry, "tap") || typed(entry, "temp")), brix: figure(typed(entry, "tap_brix") || typed(entry, "brix")) });

/** Whether an entry is a reading of the moment of its tap. @param {Entry} entry */
const ofNow = (entry) => typed(entry, "read_at") === "" && typed(entry, "replaces") === "";

/** The figures where the boil is called done. */
function goals() {
  const call = document.querySelector("#live [data-mark]");
  const goal = document.getElementById("reading")?.dataset.goal;
  return { mark: figure(call instanceof HTMLElement ? call.dataset.mark : ""), brix: figure(goal) };
}

/**
 * What may be read, least and most: by what was read last, what the mill expected when the page was seen, and the mark.
 * @param {Entry[]} before readings of this boil that count, kept on this phone
 */
function expected(before) {
  const keys = [...document.querySelectorAll('button[name="tap"]')].map((key) => figure(key.getAttribute("value") ?? ""));
  const [temps, drops] = [before.map((one) => readOf(one).temp), before.map((one) => readOf(one).brix)];
  const last = [temps.findLast((one) => one > 0) ?? figure(box("f-temp")?.placeholder), keys[0] ?? NaN].filter((one) => one > 0);
  const high = [...last, ...keys, goals().mark].filter((one) => one > 0);
  const degree = degreesOfC();
  const drop = drops.findLast((one) => one > 0) ?? figure(box("f-brix")?.placeholder);
  return {
    low: last.length > 0 ? Math.min(...last) - LESS_C * degree : -Infinity,
    high: high.length > 0 ? Math.max(...high) + MORE_C * degree : Infinity,
    drop: drop > 0 ? drop - LESS_BX : -Infinity,
  };
}

/** The first figure that nobody would expect; nothing: both may be so. @param {{ temp: number, brix: number }} read @param {Entry[]} before */
function odd(read, before) {
  const may = expected(before);
  if (read.temp < may.low || read.temp > may.high) return "temp";
  return read.brix < may.drop ? "brix" : "";
}

/** The readings of this boil that count: each has a figure, near what was so before it or said to be so. @param {Entry[]} entries */
function counting(entries) {
  /** @type {Entry[]} */
  const all = [];
  for (const entry of entries) {
    if (entry.state !== "waits" || entry.target !== `${location.pathname}/readings` || !ofNow(entry)) continue;
    const read = readOf(entry);
    const none = Number.isNaN(read.temp) && Number.isNaN(read.brix);
    if (!none && (typed(entry, "sure") !== "" || odd(read, all) === "")) all.push(entry);
  }
  return all;
}

/**
 * What is odd about a reading, by what this phone knows of the boil.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @param {Entry[]} others entries that wait
 * @returns {Doubt | null}
 */
export function readingDoubt(form, button, others) {
  const tapped = button instanceof HTMLButtonElement ? { [button.name]: button.value } : {};
  const [temp, brix] = [tapped.tap ?? box("f-temp")?.value ?? "", tapped.tap_brix ?? box("f-brix")?.value ?? ""].map((one) => one.trim());
  if (/\S/.test(box("f-read_at")?.value ?? "") || form.querySelector('input[name="replaces"]:checked:not([value=""])')) return null;
  const which = odd({ temp: figure(temp), brix: figure(brix) }, counting(others));
  if (which === "") return null;
  // All figures are confirmed together, as the mill has it.
  const [name, all] = [which, [temp, brix].filter(Boolean).join(" and ")];
  const sure = tapped.sure ?? form.querySelector('input[name="sure"]')?.getAttribute("value");
  if (sure === all) return null;
  return { words: `${which === "temp" ? temp : brix}, really? It is far from what was read before.`, box: name, yes: ["sure", all] };
}

/** How loud time alone had become by then. @param {HTMLElement} call @param {number} at by the mill's clock, s */
function weightBy(call, at) {
  /** @type {[number, string, string][]} */
  const steps = JSON.parse(call.dataset.ahead || "[]");
  return steps.filter(([from]) => from <= at).pop()?.[1] ?? call.dataset.weight ?? "";
}

/** When time alone calls for the first time after a reading, by this phone's clock, s. @param {HTMLElement} call @param {Entry} last */
function calledAt(call, last) {
  /** @type {[number, string, string][]} */
  const steps = JSON.parse(call.dataset.ahead || "[]");
  const ahead = last.ahead ?? 0;
  return (steps.find(([from, weight]) => weight !== "" && from + ahead > last.tapped)?.[0] ?? Infinity) + ahead;
}

/** What a reading that is kept says to the page's alarms. @param {HTMLElement} call @param {Entry} last */
function byReading(call, last) {
  const every = Math.min(Math.max(Number(call.dataset.every) || ALARM_S, NEXT_S[0] ?? 0), NEXT_S[1] ?? 0);
  const called = weightBy(call, last.tapped - (last.ahead ?? 0));
  const loud = called === "alarm";
  const [read, goal] = [readOf(last), goals()];
  // The refractometer decides; a thermometer at the mark calls for it.
  const there = read.brix >= goal.brix || (Number.isNaN(read.brix) && read.temp >= goal.mark);
  const words = read.brix >= goal.brix ? "By the drop kept here: draw the fire" : "By the reading kept here: draw the fire, then check with the refractometer";
  // Once something was called, the end is near, whatever was read.
  const near = called !== "" || read.temp >= goal.mark - NEAR_C * degreesOfC() || read.brix >= goal.brix - NEAR_BX;
  // Nor is it due later than the mill's forecast says that the end may be near: what is kept here has not moved that.
  const due = last.tapped + Math.min(every, loud ? ALARM_S : every, near ? NEAR_S : every);
  const until = Math.min(due, Math.max(calledAt(call, last), last.tapped + (NEXT_S[0] ?? 0))) * 1000;
  const nextWords = `Next reading by ${clock(until, last.ahead ?? 0)}`;
  return { until, next: until, nextWords, says: there ? { weight: "alarm", words, quiet: false } : {} };
}

/** What was tapped last of the fire and the alarm, and what that says. @param {HTMLElement} call @param {Entry[]} entries @param {Entry | undefined} last the last reading that counts */
function byTaps(call, entries, last) {
  const reading = last ? byReading(call, last) : {};
  const taps = entries.filter((entry) => entry.state === "waits" && entry.target === `${location.pathname}/readings` && typed(entry, "remark") !== "");
  const fire = taps.findLast((entry) => ["drawn", "relit"].includes(typed(entry, "remark")));
  if (fire && typed(fire, "remark") === "drawn") {
    return { until: (fire.tapped + DRAWN_S) * 1000, says: { weight: "", words: "The fire is drawn, by the tap kept here", quiet: true, nextAt: 0 } };
  }
  const quiet = taps.findLast((entry) => typed(entry, "remark") === "quiet");
  // What is read after the tap speaks for itself.
  if (!quiet || (last && last.tapped > quiet.tapped)) return reading;
  return { ...reading, until: (quiet.tapped + ALARM_S) * 1000, stays: true, says: {} };
}

/**
 * Shows the last reading that is kept, and tells the page's alarms of it and of what was tapped.
 * @param {Entry[]} entries
 */
export function showReading(entries) {
  const call = document.querySelector("#live [data-weight]");
  const old = document.getElementById("kept-reading");
  const last = counting(entries).at(-1);
  const says = call instanceof HTMLElement ? byTaps(call, entries, last) : {};
  if (Object.keys(says).length > 0) document.body.dataset.kept = JSON.stringify(says);
  else delete document.body.dataset.kept;
  const shown = last && (typed(last, "tap") || typed(last, "temp") || typed(last, "brix"));
  if (!last || !(call instanceof HTMLElement)) {
    old?.remove();
    return;
  }
  const words = `Kept on this phone: ${shown} at ${clock(last.tapped * 1000, last.ahead ?? 0)}. The next reading is counted from it.`;
  if (old?.textContent === words) return;
  const note = document.createElement("p");
  [note.id, note.className, note.textContent] = ["kept-reading", "note", words];
  old?.remove();
  document.getElementById("live")?.before(note);
}
