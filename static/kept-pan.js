// At the pan without network: a reading that is kept on this phone counts for its alarms as one that the mill has. It starts
// the countdown to the next reading anew and quiets what time alone had brought, unless it is at the mark itself. A figure that
// nobody would expect of this boil quiets nothing before somebody has said that it is so.

import { pageOf } from "./kept-forms.js";
import { clock } from "./kept-line.js";
import { typed } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-doubts.js").Doubt} Doubt */

/** Where readings of this boil go: a page with a question of the mill stands at that address itself. */
const READINGS = `${pageOf(location.pathname)}/readings`;
/** Where time alone had brought an alarm, a reading quiets it for so long, s: as the mill's own button does. */
const ALARM_S = 5 * 60;
/** The earliest and the latest that the next reading is asked for, s. */
const NEXT_S = [60, 15 * 60];
/** A thermometer that shows so much less than it did, or than is expected, is asked about, and so much more than the mark, °C. */
const [LESS_C, MORE_C] = [2, 3];
/** So much less than the last drop is asked about, °Bx: what boils only thickens; and so much more than the mill believed it could be by now. */
const [LESS_BX, MORE_BX] = [3, 8];
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

/** The figure that the mill had last, which a box shows before anything is typed into it. @param {string} id */
const hint = (id) => figure(box(id)?.dataset.was ?? box(id)?.placeholder);

/** The keys of one tap. @returns {HTMLButtonElement[]} */
const tapKeys = () => [...document.querySelectorAll('fieldset:not(.really) button[name="tap"]')].filter((key) => key instanceof HTMLButtonElement);

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
 * The most that the mill believed likely of the thickness, and from there straight on to the goal at the forecast finish: what boils
 * thickens faster and faster, and is below that. Not a number: the page does not say.
 */
function thickest() {
  const about = document.querySelector("#live .about");
  const go = document.querySelector("#live .beside > :first-child .big");
  const call = document.querySelector("#live [data-now]");
  if (!(about instanceof HTMLElement) || !(go instanceof HTMLElement) || !(call instanceof HTMLElement)) return NaN;
  const most = Number((about.dataset.fresh ?? about.textContent ?? "").match(/ to ([\d.]+)/)?.[1]);
  const [seen, finish] = [Number(call.dataset.now), Number(go.dataset.finish)];
  const part = finish > seen ? (Date.now() - Number(document.body.dataset.renewed)) / 1000 / (finish - seen) : 1;
  return most + Math.max(0, goals().brix - most) * Math.min(Math.max(part, 0), 1);
}

/**
 * What may be read, least and most: by what was read last, what the mill expected when the page was seen, and the mark.
 * @param {Entry[]} before readings of this boil that count, kept on this phone
 */
function expected(before) {
  const keys = tapKeys().map((key) => figure(key.dataset.was ?? key.value));
  // What somebody says is so, though nobody would expect it, is no measure for the next.
  const plain = before.filter((one) => typed(one, "sure") === "");
  const [temps, drops] = [plain.map((one) => readOf(one).temp), plain.map((one) => readOf(one).brix)];
  const last = [temps.findLast((one) => one > 0) ?? hint("f-temp"), keys[0] ?? NaN].filter((one) => one > 0);
  const high = [...last, ...keys, goals().mark].filter((one) => one > 0);
  const degree = degreesOfC();
  const drop = drops.findLast((one) => one > 0) ?? hint("f-brix");
  return {
    low: last.length > 0 ? Math.min(...last) - LESS_C * degree : -Infinity,
    high: high.length > 0 ? Math.max(...high) + MORE_C * degree : Infinity,
    drop: drop > 0 ? drop - LESS_BX : -Infinity,
    thick: Math.max(thickest(), drop || 0) + MORE_BX,
  };
}

/** The first figure that nobody would expect; nothing: both may be so. @param {{ temp: number, brix: number }} read @param {Entry[]} before */
function odd(read, before) {
  const may = expected(before);
  if (read.temp < may.low || read.temp > may.high) return "temp";
  return read.brix < may.drop || read.brix > may.thick ? "brix" : "";
}

/** The readings of this boil that count: each has a figure, near what was so before it or said to be so. @param {Entry[]} entries */
function counting(entries) {
  /** @type {Entry[]} */
  const all = [];
  for (const entry of entries) {
    if (entry.state !== "waits" || entry.target !== READINGS || !ofNow(entry)) continue;
    const read = readOf(entry);
    const none = Number.isNaN(read.temp) && Number.isNaN(read.brix);
    if (!none && (typed(entry, "sure") !== "" || odd(read, all) === "")) all.push(entry);
  }
  return all;
}

/** A figure at the mark that was asked about and not answered yet: it may be so. @type {{ words: string, late: string, go: string } | null} */
let open = null;

/** Whether a figure says that the boil is done. @param {{ temp: number, brix: number }} read */
const atMark = (read) => read.brix >= goals().brix || (Number.isNaN(read.brix) && read.temp >= goals().mark);

/** What stands at the head of the page while such a figure is open. @param {string} figure */
const ifSo = (figure) => ({ words: `If ${figure} is so, draw the fire: read it again`, late: `If ${figure} is so, draw the fire: read it again`, go: "" });

/**
 * What is odd about a reading, by what this phone knows of the boil.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @param {Entry[]} others entries that wait
 * @returns {Doubt | null}
 */
export function readingDoubt(form, button, others) {
  const tapped = button instanceof HTMLButtonElement ? { [button.name]: button.value } : {};
  open = null;
  const [temp, brix] = [tapped.tap ?? box("f-temp")?.value ?? "", tapped.tap_brix ?? box("f-brix")?.value ?? ""].map((one) => one.trim());
  if (/\S/.test(box("f-read_at")?.value ?? "") || form.querySelector('input[name="replaces"]:checked:not([value=""])')) return null;
  const read = { temp: figure(temp), brix: figure(brix) };
  const which = odd(read, counting(others));
  if (which === "") return null;
  // All figures are confirmed together, as the mill has it.
  const [name, all] = [which, [temp, brix].filter(Boolean).join(" and ")];
  const sure = tapped.sure ?? form.querySelector('input[name="sure"]')?.getAttribute("value");
  if (sure === all) return null;
  const figures = which === "temp" ? temp : brix;
  if (atMark(read)) open = ifSo(figures);
  const why = open ? "By it alone the boil is past its target. If that may be so, draw the fire first." : "It is far from what was read before.";
  return { words: `${figures}, really? ${why}`, box: name, yes: ["sure", all] };
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
  const drop = read.brix >= goal.brix;
  const holds = !atMark(read) ? undefined : {
    words: drop ? "By the drop kept here: draw the fire" : "By the reading kept here: draw the fire, then check with the refractometer",
    late: drop ? "Past the target by the drop kept here: draw the fire at once" : "Past the mark by the reading kept here: draw the fire at once, then check with the refractometer",
    go: drop ? "Now" : "",
  };
  // Once something was called, the end is near, whatever was read.
  const near = called !== "" || typed(last, "sure") !== "" || read.temp >= goal.mark - NEAR_C * degreesOfC() || read.brix >= goal.brix - NEAR_BX;
  // Nor is it due later than the mill's forecast says that the end may be near: what is kept here has not moved that.
  const due = last.tapped + Math.min(every, loud ? ALARM_S : every, near ? NEAR_S : every);
  const until = Math.min(due, Math.max(calledAt(call, last), last.tapped + (NEXT_S[0] ?? 0))) * 1000;
  // What somebody says is so, though nobody would expect it, waits for another that says the same.
  const far = typed(last, "sure") === "" ? "" : "That figure is far from what was expected. ";
  const nextWords = `${far}Next reading by ${clock(until, last.ahead ?? 0)}`;
  return { until, next: until, nextWords, holds, says: holds ? { quiet: false } : {} };
}

/** A figure at the mark that the mill asks about, or this page: it holds the alarm until it is answered, or another is noted. @param {Entry[]} entries @param {Entry[]} gone */
function openFigure(entries, gone) {
  const ours = (/** @type {Entry} */ one) => one.target === READINGS && ofNow(one);
  const back = entries.findLast((one) => one.state === "needs" && ours(one) && atMark(readOf(one)));
  const since = back && [...entries, ...gone].some((one) => one !== back && one.key !== back.key && ours(one) && one.tapped >= back.tapped && typed(one, "remark") === "");
  return open ?? (back && !since ? ifSo(typed(back, "tap_brix") || typed(back, "brix") || typed(back, "tap") || typed(back, "temp")) : undefined);
}

/**
 * What was tapped last of the fire and the alarm, and what that says.
 * @param {HTMLElement} call @param {Entry[]} entries @param {Entry | undefined} last the last reading that counts @param {Entry[]} gone
 */
function byTaps(call, entries, last, gone) {
  const asked = openFigure(entries, gone);
  const reading = { ...(last ? byReading(call, last) : {}), ...(asked ? { holds: asked } : {}) };
  const taps = entries.filter((entry) => entry.state === "waits" && entry.target === READINGS && typed(entry, "remark") !== "");
  const fire = taps.findLast((entry) => ["drawn", "relit"].includes(typed(entry, "remark")));
  if (fire && typed(fire, "remark") === "drawn") {
    return { until: (fire.tapped + DRAWN_S) * 1000, says: { weight: "", words: "The fire is drawn, by the tap kept here", quiet: true, nextAt: 0 } };
  }
  const quiet = taps.findLast((entry) => typed(entry, "remark") === "quiet");
  // What is read after the tap speaks for itself.
  if (!quiet || (last && last.tapped > quiet.tapped)) return reading;
  return { ...reading, until: (quiet.tapped + ALARM_S) * 1000, stays: true, says: {} };
}

/** Readings of this boil that are kept here and count, as of the last look. @type {Entry[]} */
let kept = [];
/** What waited of this boil's readings and taps as of the last look, by key. @type {string[]} */
let waited = [];
let goes = 0;

/**
 * Once what was kept has gone to the mill, it counts until the page is renewed; taken back, it counts no more.
 * @param {string[]} gone keys of what went
 */
function noLonger(gone) {
  const { dataset } = document.body;
  if (dataset.kept === undefined || dataset.keptWent !== undefined) return;
  if (waited.length === 0 || !waited.every((key) => gone.includes(key))) {
    delete dataset.kept;
    return;
  }
  dataset.keptWent = String(Date.now());
  document.dispatchEvent(new Event("went"));
}

/**
 * Shows the last reading that is kept, and tells the page's alarms of it and of what was tapped.
 * @param {Entry[]} entries @param {Entry[]} gone what the mill took a short while ago
 */
export function showReading(entries, gone) {
  const call = document.querySelector("#live [data-weight]");
  const old = document.getElementById("kept-reading");
  kept = counting(entries);
  const last = kept.at(-1);
  const says = call instanceof HTMLElement ? byTaps(call, entries, last, gone) : {};
  if (Object.keys(says).length > 0) {
    document.body.dataset.kept = JSON.stringify(says);
    delete document.body.dataset.keptWent;
    waited = entries.filter((entry) => entry.target === READINGS && entry.state === "waits").map((entry) => entry.key);
  } else noLonger(gone.map((entry) => entry.key));
  if (document.body.dataset.known === undefined) {
    document.body.dataset.known = "yes";
    document.dispatchEvent(new Event("known"));
  }
  if (call && goes === 0) goes = setInterval(showAge, 1000);
  if (call) showAge();
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

/** From one temperature that the mill foretold to the next, s. */
const FORETOLD_S = 5 * 60;
/** So long after the keys changed a tap on them was meant for what stood there before, ms. */
const SETTLES_MS = 700;
let changed = 0;

/** What the mill foretold of the thermometer for a moment of this phone's clock, ms. @param {HTMLElement} call @param {number} ms */
function foretold(call, ms) {
  const all = (call.dataset.expects ?? "").split(" ").filter(Boolean).map(Number);
  const steps = Math.min(Math.max((ms - Number(document.body.dataset.renewed)) / (FORETOLD_S * 1000), 0), all.length - 1);
  const [from, to] = [all[Math.floor(steps)], all[Math.ceil(steps)]];
  return from === undefined || to === undefined ? NaN : from + (to - from) * (steps % 1);
}

/** The keys go round what is expected now: what the mill foretold, and from a reading kept here on, that one. @param {HTMLElement} call */
function goOn(call) {
  const keys = tapKeys();
  const [first, second] = keys.map((key) => figure(key.value));
  // One that is far off, though somebody says it is so, moves nothing before another says the same.
  const last = kept.findLast((entry) => readOf(entry).temp > 0 && typed(entry, "sure") === "");
  const shift = last ? readOf(last).temp - foretold(call, last.tapped * 1000) : 0;
  const middle = Math.min(foretold(call, Date.now()) + shift, Number(call.dataset.most));
  if (first === undefined || second === undefined || Number.isNaN(middle) || keys.some((key) => key.matches(":active"))) return;
  const [step, third] = [second - first, Math.round(middle * 2) / 2];
  // Within half a degree of what is expected they stay: nothing moves under a thumb for less.
  if (Math.abs(third - (first + 2 * step)) <= 0.5) return;
  keys.forEach((key, n) => {
    key.dataset.was ??= key.value;
    key.value = key.textContent = (third + step * (n - 2)).toFixed(1);
  });
  changed = Date.now();
}

document.addEventListener("click", (event) => {
  const key = event.target instanceof Element ? event.target.closest('button[name="tap"]') : null;
  if (!key || Date.now() - changed > SETTLES_MS) return;
  event.preventDefault();
  event.stopImmediatePropagation();
}, true);

/** The boxes show what was read last, here or at the mill, before anything is typed. */
function hintLast() {
  for (const [id, name] of /** @type {[string, "temp" | "brix"][]} */ ([["f-temp", "temp"], ["f-brix", "brix"]])) {
    const at = box(id);
    const last = kept.findLast((entry) => readOf(entry)[name] > 0);
    if (!at || (!last && at.dataset.was === undefined)) continue;
    at.dataset.was ??= at.placeholder;
    at.placeholder = last ? readOf(last)[name].toFixed(1) : at.dataset.was;
  }
}

/** Says of a part of the page how old it is, or takes that away again. @param {HTMLElement} part @param {string} age empty: it is not old */
function agePart(part, age) {
  if (age === "" && part.dataset.fresh === undefined) return;
  part.dataset.fresh ??= part.textContent ?? "";
  const words = age === "" ? part.dataset.fresh : `${age}: ${part.dataset.fresh.replace(/^now /, "")}`;
  if (part.textContent !== words) part.textContent = words;
  part.classList.toggle("old", age !== "");
}

/** How long ago a probe was heard goes on without network: the mill's words say it for the moment of the last renewal. @param {number} renewed */
function agedProbes(renewed) {
  const gone = document.body.dataset.lost === "yes" ? Math.max(0, Math.floor((Date.now() - renewed) / 1000)) : 0;
  for (const part of document.querySelectorAll("#live > p:not(.next) strong")) {
    if (!(part instanceof HTMLElement)) continue;
    const said = part.dataset.fresh ?? part.textContent ?? "";
    const [ago, count, unit] = said.match(/(\d+) (s|min) ago$/) ?? [];
    if (ago === undefined || (gone === 0 && part.dataset.fresh === undefined)) continue;
    part.dataset.fresh = said;
    const seconds = Number(count) * (unit === "min" ? 60 : 1) + gone;
    const words = said.slice(0, -ago.length) + (seconds < 100 ? `${seconds} s ago` : `${Math.floor(seconds / 60)} min ago`);
    if (part.textContent !== words) part.textContent = words;
    part.classList.toggle("old", seconds >= 120 && gone > 0);
  }
}

/** The call of a lit boil stands in sight again after a tap: whoever noted a figure looks what it says. */
export function callInSight() {
  const call = document.querySelector("#live .call");
  const { top, bottom } = call?.getBoundingClientRect() ?? { top: 0, bottom: 0 };
  if (top < 0 || bottom > innerHeight) call?.scrollIntoView({ block: "start", behavior: "instant" });
}

/** Once a second: what is older than the last reading, or than a minute without network, is grey and says its age. */
function showAge() {
  const call = document.querySelector("#live [data-weight]");
  if (!(call instanceof HTMLElement)) return;
  const renewed = Number(document.body.dataset.renewed);
  // A tap is kept by the second.
  const newer = kept.filter((entry) => entry.tapped >= Math.floor(renewed / 1000));
  const minutes = Math.floor((Date.now() - renewed) / 60_000);
  const isOld = newer.length > 0 || (document.body.dataset.lost === "yes" && minutes >= 1);
  const age = !isOld ? "" : minutes < 1 ? "Before that" : `${minutes} min ago`;
  document.body.classList.toggle("aged", isOld);
  for (const part of document.querySelectorAll("#live .beside > :first-child .soft, #live .about")) if (part instanceof HTMLElement) agePart(part, age);
  const about = document.querySelector("#live .about");
  // A drop says where the pan is: what was believed before it is taken away.
  if (about instanceof HTMLElement) about.hidden = newer.some((entry) => readOf(entry).brix > 0);
  const advice = document.querySelector("#live-rest .advice");
  if (advice instanceof HTMLElement) advice.hidden = isOld && call.querySelector("strong")?.textContent !== call.dataset.words;
  // What silence meant when the page was made may be another by now: the call says what it means.
  const due = document.querySelector("#live .next strong");
  const since = due?.textContent?.replace(/: [a-z].*$/, ".");
  if (due && isOld && due.textContent !== since) due.textContent = since ?? "";
  agedProbes(renewed);
  goOn(call);
  hintLast();
}
