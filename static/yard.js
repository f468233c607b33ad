// Every page of the crew: what is typed into a form of the yard is kept on this phone before it is sent, and one line
// says where things stand. The pages work without this; then nothing is kept.

import "./look.js";
import { fillChanged, isHere, openAgain, takeBack, throwAway } from "./kept-change.js";
import { ask, doubtOf, saysRemark } from "./kept-doubts.js";
import { entryOf, freshKeys, hidden, keptForms, ownKeys, sayBeyond, sendPlainly } from "./kept-forms.js";
import { clock, missing, showLine, showWarning, storeWords } from "./kept-line.js";
import { isSameTap, sameDoubt, takeKeyAgain } from "./kept-once.js";
import { bareTap, besideTap, sayKept, sayWent } from "./kept-note.js";
import { dayOfNew, giveNumber, holdNumbers, markPhone, wantsNumbers } from "./kept-numbers.js";
import { callInSight, showReading } from "./kept-pan.js";
import { byFetch, contact, sendAlone } from "./kept-send.js";
import { allSent } from "./kept-sent.js";
import { NEW_TICKET, showKept, typed } from "./kept-shown.js";
import { isStation, notePicked, noteUse, showStands, whoStands } from "./kept-station.js";
import { openStore } from "./kept-store.js";
import { sendStraight } from "./kept-straight.js";
import { leadTo, twinOf } from "./kept-twin.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */
/** @typedef {import("./kept-send.js").Ending} Ending */

/** How long a tap waits for the mill's answer before it says that the entry is kept, ms. */
const PATIENCE_MS = 2500;
/** After how long the line says that what was tapped is kept, and the browser is asked to send it should the page be closed, ms. */
const SLOW_MS = 700;
/** How long a tap waits for the phone's store to open, ms: a store that never does keeps no form back. */
const OPEN_MS = 6000;
/** How often what waits is tried again while the page is looked at, ms. */
const AGAIN_MS = 5000;
/** How often it is looked for pages of the day that are new, ms. */
const LOOK_MS = 3 * 60_000;
/** The mill was reached by an entry: that renews a page that is lost, at most so often, ms. */
const REACHED_MS = 1000;
/** Taps so near to one another are of the same moment, seconds. */
const SAME_MOMENT_S = 90;

/** Forms of the yard whose figures are typed with keys of its own. */
const FIGURES = 'form.sheet:is([data-keep], [action^="/juices/"], [action^="/boils/"]) :is(input.short, input.reading)';

const wire = byFetch();
/** When the mill last told its time, by this phone's clock, ms. */
let heard = 0;
/** @type {import("./kept-send.js").Net} */
const net = {
  ...wire,
  async ask() {
    const here = await wire.ask();
    if (here) heard = Date.now();
    return here;
  },
};
const news = "BroadcastChannel" in self ? new BroadcastChannel("canewright") : null;
const line = document.getElementById("kept");
const seen = Number(document.body.dataset.seen ?? 0);
/** When the mill was asked for this page, by this phone's clock, ms. */
const known = seen > 0 ? seen * 1000 : Date.now() - performance.now();

/** @type {Store | null} */
let store = null;
/** @type {Ending} */
let ending = "done";
/** What this browser cannot do, though it keeps entries. */
let lacks = "";
/** Why nothing at all is kept. */
let cannot = "";
/** Why this phone keeps nothing more, though what it keeps still goes. */
let full = "";
/** What was said of the button tapped last in the list. */
let told = "";
/** How far this phone's clock is ahead of the mill's, s. */
let ahead = 0;
/** Nothing was ever kept in this store: it may be one of a private window. */
let untried = false;
/** Answers to what was tapped on this page, by key. @type {Map<string, import("./kept-send.js").Answer>} */
const answers = new Map();
/** The entry whose answer somebody waits for: its page comes from the mill at once. */
let awaited = "";
/** One run after the other. @type {Promise<void>} */
let chain = Promise.resolve();
let runs = 0;

/** A run of the sender, after those that go on. @returns {Promise<void>} */
function run() {
  runs += 1;
  chain = chain.then(async () => {
    if (!store) return;
    /** @type {Entry[]} */
    const went = [];
    ending = await sendAlone(store, net, (entry, answer) => {
      answers.set(entry.key, answer);
      if (answer.status === 201) went.push(entry);
    });
    if (ending !== "no network") sayReached();
    afterSending(store, went).catch(() => {});
  }).catch(() => { ending = "later"; }).finally(() => { runs -= 1; });
  return chain.then(show);
}

/** Once what had waited has gone, the pages of the day are kept anew, and this phone gets numbers for those it used. @param {Store} store @param {Entry[]} went */
async function afterSending(store, went) {
  const waited = went.filter((entry) => entry.key !== awaited);
  if (waited.length === 0) return;
  navigator.serviceWorker.controller?.postMessage({ keepDay: "", sent: waited.map((entry) => entry.target) });
  const days = new Set(waited.filter((entry) => typed(entry, "number") !== "").map((entry) => entry.target.match(NEW_TICKET)?.[1]));
  for (const day of days) if (day) await holdNumbers(store, `/days/${day}`, line?.dataset.member ?? "");
}

/** What keeps those that wait, and how old this page is. @param {Entry[]} entries */
function why(entries) {
  const said = [told, full, lacks].filter(Boolean);
  if (seen > 0) said.push(`${ending === "no network" ? "No network: this" : "This"} page is as it was at ${clock(seen * 1000, ahead)}.`);
  const waits = entries.filter((entry) => entry.state === "waits");
  const others = [...new Set(waits.filter((entry) => ![line?.dataset.member, ""].includes(entry.by)).map((entry) => entry.byName))];
  if (line && waits.some((entry) => entry.by === "")) said.push("What has no name waits until somebody says “It was me”.");
  if (waits.length > 0 && ending === "signed out") said.push("You are signed out. Sign in again");
  else if (others.length > 0) said.push(`What ${others.join(" and ")} tapped goes when ${others.join(" or ")} signs in on this phone.`);
  else if (waits.length > 0 && ending === "no network" && seen === 0) said.push("No network: it goes by itself when it is back.");
  else if (waits.length > 0 && ending === "stuck" && entries.length > waits.length) said.push("What waits belongs to what needs you, and goes after that.");
  else if (ending === "later" && waits.some((entry) => (entry.held ?? 0) <= Date.now())) said.push("The mill does not answer yet: it is tried again.");
  // Said before the first entry, and while something is at stake; an ordinary window is not told each time.
  if ((entries.length > 0 || (untried && seen === 0)) && line?.dataset.lasts === "no") said.unshift("If this is a private window, what waits is lost when it is closed.");
  return said.join(" ");
}

async function show() {
  if (!line || !store) return;
  ahead = (await store.fact("ahead")) ?? 0;
  // What is being mended on this page is in good hands.
  const here = [...keptForms()].map((form) => hidden(form, "form_key")?.value);
  const every = await store.all();
  const entries = every.filter((entry) => !(entry.state === "needs" && here.includes(entry.key)));
  const mending = entries.length < every.length;
  const me = ending === "done" && seen === 0 ? (line.dataset.name ?? "") : "";
  const kept = store;
  const [all, sent] = [every, await allSent(store)];
  /** @param {Promise<string>} done */
  const tell = async (done) => { told = await done; await show(); };
  showLine(line, entries, why(entries), {
    mend, again, answer, drop, me, claim, lead, firm: full === "", mending, sent,
    change: (entry) => tell(openAgain(kept, entry)),
    takeBack: (entry) => tell(takeBack(kept, entry).then((refused) => {
      const note = document.getElementById("kept-note");
      if (refused === "" && note?.dataset.key === entry.key) note.remove();
      return refused;
    })),
  });
  if (full) line.classList.add("waits");
  showKept(entries, sent, known, mending);
  showReading(all, (await store.fact("gone")) ?? []);
  sayWent(all);
  await showStands(store, line, isAway(), show);
}

/** Whether the mill cannot be reached, as far as this page knows. */
const isAway = () => ending === "no network" || seen > 0 || !navigator.onLine;

/** Whoever is picked says that an entry without a name is theirs. @param {Entry} entry */
async function claim(entry) {
  await store?.change(entry.key, { by: line?.dataset.member ?? "", byName: line?.dataset.name ?? "" });
  await run();
}

/** @param {Entry} entry */
async function again(entry) {
  try {
    await store?.put({ ...entry, state: "waits", tries: 0 });
  } catch (error) {
    full = storeWords(error);
    return show();
  }
  await run();
}

/** What came back is so: it goes again with the answer. @param {Entry} entry @param {string} box @param {string} value */
const answer = (entry, box, value) => again({ ...entry, boxes: [...entry.boxes.filter(([name]) => name !== box), [box, value]] });

/** @param {Entry} entry */
async function drop(entry) {
  told = store ? await throwAway(store, entry) : "";
  if (told === "") document.getElementById("kept-note")?.remove();
  await show();
}

/** Leads an entry that came back, with what hangs on it, to the ticket that stands at the mill. @param {Entry} entry @param {import("./kept-twin.js").Twin} twin */
async function lead(entry, twin) {
  document.getElementById("kept-note")?.remove();
  told = "";
  if (store) await leadTo(store, entry.key, twin).catch((error) => { full = storeWords(error); });
  await run();
}

// The same on the page that came back.
document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[data-twin]") : null;
  const key = link?.closest("form")?.querySelector('input[name="form_key"]')?.getAttribute("value");
  if (!(link instanceof HTMLAnchorElement) || !store || !key) return;
  event.preventDefault();
  const twin = twinOf(link);
  leadTo(store, key, twin).then(async (kept) => {
    if (kept) await Promise.race([run(), wait(PATIENCE_MS)]);
    location.assign(kept ? `/tickets/${twin.id}` : link.href);
  }, () => location.assign(link.href));
});

/** Asks the mill once more, then shows what it says now. @param {Entry} entry */
async function mend(entry) {
  await again(entry);
  await showBack(entry);
}

/** Shows the form that came back on this page. @param {Entry} entry */
async function showBack(entry) {
  const now = await store?.get(entry.key);
  const main = document.querySelector("main");
  if (!now || !main) return;
  const page = new DOMParser().parseFromString(now.answer || entry.answer, "text/html").querySelector("main");
  if (!page) return;
  main.replaceWith(document.adoptNode(page));
  // What came back is one plain form, with what was wrong beside its boxes.
  document.body.classList.remove("stepping");
  await show();
  scrollTo(0, 0);
  const wrong = page.querySelector("[autofocus], [aria-invalid]");
  if (wrong instanceof HTMLElement) wrong.focus();
  // What is asked back is answered by one tap.
  page.querySelector("button[name=sure]")?.scrollIntoView({ block: "center" });
}

/** Goes on to the result. @param {string} to */
function goOn(to) {
  const url = new URL(to, location.href);
  if (url.pathname + url.search !== location.pathname + location.search) location.assign(url);
  else if (url.hash === location.hash) location.reload();
  else { location.hash = url.hash; location.reload(); }
}

/** Says that the mill was reached: a page that is lost is renewed by it. */
function sayReached() {
  if (performance.now() - reached < REACHED_MS) return;
  reached = performance.now();
  document.dispatchEvent(new Event("reached"));
}
let reached = -REACHED_MS;

/** @param {number} ms @returns {Promise<void>} */
const wait = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/**
 * What becomes of a tap that the phone cannot keep: it goes straight to the mill, or the form stays as it is and says so.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} entry @param {string} words why it is not kept
 */
async function notKept(form, button, entry, words) {
  if (!line) return;
  if (store) full = words;
  // After what was tapped before it.
  const to = await sendStraight(form, button, entry, { line, words, net, before: run, fresh: seen === 0 });
  if (to !== "") goOn(to);
}

/** Keeps an entry, before anything is asked or sent; gives what stood under its key. @param {Store} store @param {Entry} entry */
async function keep(store, entry) {
  const before = await store.get(entry.key);
  // Mended, it was still tapped when it was tapped first.
  if (before) [entry.tapped, entry.went] = [before.tapped, before.went];
  entry.ahead = before ? before.ahead : ((await store.fact("ahead")) ?? null);
  await store.put(entry);
  return before;
}

/** Sends what is kept, as long as a hand has patience; gives the mill's answer to this entry, if it came. @param {Entry} entry */
async function sendNow(entry) {
  const began = Date.now();
  answers.delete(entry.key);
  awaited = entry.key;
  const slow = setTimeout(() => {
    sync();
    show();
  }, SLOW_MS);
  await Promise.race([run(), wait(PATIENCE_MS)]);
  clearTimeout(slow);
  awaited = "";
  const answer = answers.get(entry.key);
  if (!answer && heard < began) ending = "no network";
  return answer;
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button */
async function tapped(form, button) {
  if (!line) return;
  if (!store) {
    const [member = "", name = ""] = [line.dataset.member, line.dataset.name];
    return notKept(form, button, entryOf(form, button, { member, name, ahead: null }), cannot);
  }
  told = "";
  const remark = saysRemark(button);
  if (!remark && sayBeyond(form)) return;
  // The mill asks about what is odd where it can be reached; else this phone does, by what it knows.
  await takeKeyAgain(store, form, button).catch(() => {});
  const odd = doubtOf(form, button, await Promise.all([allSent(store), store.all()]).then((both) => both.flat(), () => []))
    ?? (await sameDoubt(store, form, button).catch(() => null));
  const away = isAway();
  if (odd && away && !remark) {
    ask(form, button, odd);
    return show();
  }
  await markPhone(store, form).catch(() => {});
  const [day, who] = [dayOfNew(form), await whoStands(store, line)];
  // The tap counts at once; a figure beside it that has to be looked at first stands there still.
  const aside = odd && remark ? besideTap(form) : [];
  const bare = bareTap(form, button, who, aside);
  const entry = away ? bare : entryOf(form, button, { ...who, ahead: null });
  let more = day !== "" && away ? await giveNumber(store, entry, day, false) : "";
  let before;
  try {
    before = await keep(store, entry);
  } catch (error) {
    return notKept(form, button, entry, storeWords(error));
  }
  full = "";
  if (untried) await store.note("tried", true).catch(() => {});
  untried = false;
  await noteUse(store, who).catch(() => {});
  const answer = await sendNow(entry);
  const still = away ? new URLSearchParams(aside.map((one) => [one.box.name, one.value])).toString() : "";
  if (answer?.status === 201) return goOn(still === "" ? answer.to : `${answer.to}?${still}#reading`);
  // What was tapped a while before keeps the time of its first tap, which a form that is sent the plain way does not tell.
  if (answer && before && Date.now() / 1000 - entry.tapped > SAME_MOMENT_S) return showBack({ ...entry, answer: answer.page });
  if (answer) return sendPlainly(form, button, { ...entry, answer: answer.page });
  // What has not left this phone the mill cannot ask about: it is as if it had not been tapped.
  if (odd && !remark && (await store.change(entry.key, before ?? null, isHere))) {
    ask(form, button, odd);
    return show();
  }
  const looked = aside.length > 0 && (away || (await store.change(entry.key, { boxes: bare.boxes, what: bare.what }, isHere)));
  if (looked) entry.what = bare.what;
  if (day !== "" && !away) more = await giveNumber(store, entry, day, true);
  news?.postMessage("kept");
  sync();
  sayKept(form, button, entry, more);
  for (const one of looked ? aside : []) {
    one.box.value = one.value;
    one.box.dispatchEvent(new Event("input", { bubbles: true }));
  }
  if (looked && odd) ask(form, button, odd);
  await show();
  // What is asked stands in sight already.
  if (!(looked && odd)) callInSight();
}

// What was asked about was another figure.
document.addEventListener("input", ({ target }) => {
  if (!(target instanceof HTMLInputElement) || !target.matches("input.short, input.reading")) return;
  target.form?.querySelector('button[name="sure"]')?.remove();
});

/** Asks the browser to send when the network is back, also when no page is open. */
async function sync() {
  try {
    const ready = /** @type {any} */ (await navigator.serviceWorker.ready);
    await ready.sync?.register("canewright-send");
  } catch {
    // Not every browser has it: what waits goes at the next look.
  }
}

/** @type {WeakSet<HTMLFormElement>} */
const busy = new WeakSet();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !(form instanceof HTMLFormElement)) return;
  const button = event.submitter;
  if (!form.matches("[data-keep]") || form.querySelector("input[type=password]") || button?.dataset.keep === "no") return;
  event.preventDefault();
  if (busy.has(form) || isSameTap(form, button)) return;
  busy.add(form);
  // A tap may come before the store is open.
  opening.then(() => tapped(form, button)).finally(() => busy.delete(form));
});

/** Has the worker keep the pages of the day beforehand: all of a day that is looked at, else what is left of it. */
async function keepDay() {
  const day = location.pathname.match(/^\/days\/[\d-]+$/)?.[0] ?? "";
  if (!store || isAway()) return;
  try {
    (await navigator.serviceWorker.ready).active?.postMessage({ keepDay: day });
    if (day !== "" && (await wantsNumbers(store, day))) await holdNumbers(store, day, line?.dataset.member ?? "");
  } catch {
    // Another time.
  }
}

/** Opens the phone's store, and looks whether it takes anything. @returns {Promise<void>} */
async function open() {
  if (!line) return;
  cannot = missing();
  if (cannot) return showWarning(line, cannot);
  if (seen > 0) freshKeys();
  else ownKeys();
  try {
    store = await openStore();
    await store.note("opened", Date.now());
    untried = !(await store.fact("tried"));
    if (isStation(line) && seen === 0) await notePicked(store, line);
    await fillChanged(store);
  } catch (error) {
    if (!store) return showWarning(line, cannot = storeWords(error));
    full = storeWords(error);
  }
  await show();
}

async function start() {
  if (!line || !store) return;
  try {
    await navigator.serviceWorker.register("/yard-worker.js", { type: "module" });
  } catch {
    lacks = "This browser cannot open pages without network: keep this page open, what you type on it is kept.";
  }
  const lasts = await navigator.storage?.persist?.().catch(() => false);
  line.dataset.lasts = lasts ? "yes" : "no";
  if ((await store.all()).length > 0) await run();
  else ending = (await contact(store, net)) ? "done" : "no network";
  await show();
  await keepDay();
}

addEventListener("online", () => run().then(keepDay));
news?.addEventListener("message", ({ data }) => {
  if (data === "sent" && heard > 0) sayReached();
  show();
});
document.addEventListener("visibilitychange", () => { if (!document.hidden) run().then(keepDay); });
setInterval(() => { if (!document.hidden) keepDay(); }, LOOK_MS);
setInterval(async () => {
  if (store && !document.hidden && runs === 0 && (await store.all()).some((entry) => entry.state === "waits")) run();
}, AGAIN_MS);

const opening = Promise.race([open().catch(() => { store = null; }), wait(OPEN_MS)]);
opening.then(start);

// Figures are typed with large keys wherever a form of the yard asks for them.
if (document.querySelector(FIGURES)) import("./keys.js").catch(() => {});
