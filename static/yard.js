// Every page of the crew: what is typed into a form of the yard is kept on this phone before it is sent, and one line
// says where things stand. The pages work without this; then nothing is kept.

import "./look.js";
import { doneChanging, fillChanged, openAgain, takeBack } from "./kept-change.js";
import { ask, doubtOf, forgetDoubts } from "./kept-doubts.js";
import { entryOf, freshKey, freshKeys, hidden, keptForms, ownKeys, sayBeyond, sendPlainly } from "./kept-forms.js";
import { clock, showLine, showWarning } from "./kept-line.js";
import { showReading } from "./kept-pan.js";
import { byFetch, contact, sendAlone } from "./kept-send.js";
import { showKept, wayButtons } from "./kept-shown.js";
import { isStation, notePicked, noteUse, showStands, whoStands } from "./kept-station.js";
import { newKey, openStore } from "./kept-store.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */
/** @typedef {import("./kept-send.js").Ending} Ending */

/** How long a tap waits for the mill's answer before it says that the entry is kept, ms. */
const PATIENCE_MS = 2500;
/** How long a tap waits for the phone's store to open, ms: a store that never does keeps no form back. */
const OPEN_MS = 6000;
/** How often what waits is tried again while the page is looked at, ms. */
const AGAIN_MS = 5000;
/** How often ticket numbers are asked for, at most, ms. */
const NUMBERS_MS = 10 * 60_000;

const net = byFetch();
const news = "BroadcastChannel" in self ? new BroadcastChannel("canewright") : null;
const line = document.getElementById("kept");
const seen = Number(document.body.dataset.seen ?? 0);

/** @type {Store | null} */
let store = null;
/** @type {Ending} */
let ending = "done";
/** What this browser cannot do, though it keeps entries. */
let lacks = "";
/** Why this phone keeps nothing more, though what it keeps still goes. */
let full = "";
/** What was said of the button tapped last in the list. */
let told = "";
/** Nothing was ever kept in this store: it may be one of a private window. */
let untried = false;
/** Answers to what was tapped on this page, by key. @type {Map<string, import("./kept-send.js").Answer>} */
const answers = new Map();
/** One run after the other. @type {Promise<void>} */
let chain = Promise.resolve();
let runs = 0;

/** What cannot be done in this browser; nothing when all can. */
function missing() {
  if (!isSecureContext) {
    return "This page came without https, so nothing can be kept on this phone: what you type goes out only while there is network. Write it on paper when there is none.";
  }
  if (!("indexedDB" in self) || !navigator.locks || !("serviceWorker" in navigator)) {
    return "This browser keeps nothing without network (an old one, or a private window): what you type goes out only while there is network.";
  }
  return "";
}

/** @param {unknown} error */
function storeWords(error) {
  const full = error instanceof DOMException && error.name === "QuotaExceededError";
  return full
    ? "This phone’s store is full: nothing more can be kept without network. Make room on the phone; what you type goes out only while there is network."
    : "This browser lets nothing be kept (a private window does that): what you type goes out only while there is network.";
}

/** A run of the sender, after those that go on. @returns {Promise<void>} */
function run() {
  runs += 1;
  chain = chain.then(async () => {
    if (!store) return;
    ending = await sendAlone(store, net, (entry, answer) => { answers.set(entry.key, answer); });
  }).catch(() => { ending = "later"; }).finally(() => { runs -= 1; });
  return chain.then(show);
}

/** What keeps those that wait, and how old this page is. @param {Entry[]} entries */
function why(entries) {
  const said = [told, full, lacks].filter(Boolean);
  if (seen > 0) {
    said.push(`${ending === "no network" ? "No network: this" : "This"} page is as it was at ${clock(seen * 1000)}.`);
  }
  const waits = entries.filter((entry) => entry.state === "waits");
  const others = [...new Set(waits.filter((entry) => ![line?.dataset.member, ""].includes(entry.by)).map((entry) => entry.byName))];
  if (line && waits.some((entry) => entry.by === "")) said.push("What has no name waits until somebody says “It was me”.");
  if (waits.length > 0 && ending === "signed out") said.push("You are signed out. Sign in again");
  else if (others.length > 0) said.push(`What ${others.join(" and ")} tapped goes when ${others.join(" or ")} signs in on this phone.`);
  else if (waits.length > 0 && ending === "no network" && seen === 0) said.push("No network: it goes by itself when it is back.");
  else if (waits.length > 0 && ending === "later") said.push("The mill does not answer yet: it is tried again.");
  // Said before the first entry, and while something is at stake; an ordinary window is not told each time.
  if ((entries.length > 0 || untried) && line?.dataset.lasts === "no") said.unshift("If this is a private window, what waits is lost when it is closed.");
  return said.join(" ");
}

async function show() {
  if (!line || !store) return;
  // What is being mended on this page is in good hands.
  const here = [...keptForms()].map((form) => hidden(form, "form_key")?.value);
  const entries = (await store.all()).filter((entry) => !(entry.state === "needs" && here.includes(entry.key)));
  const me = ending === "done" && seen === 0 ? (line.dataset.name ?? "") : "";
  const kept = store;
  /** @param {Promise<string>} done */
  const tell = async (done) => { told = await done; await show(); };
  showLine(line, entries, why(entries), {
    mend, again, drop, me, claim, firm: full === "",
    change: (entry) => tell(openAgain(kept, entry)),
    takeBack: (entry) => tell(takeBack(kept, entry)),
  });
  if (full) line.classList.add("waits");
  const all = await store.all();
  showKept(all);
  showReading(all);
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

/** @param {Entry} entry */
async function drop(entry) {
  await store?.drop(entry.key);
  await show();
}

/** Asks the mill once more, then shows the form that came back on this page. @param {Entry} entry */
async function mend(entry) {
  await again(entry);
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
}

/** Goes on to the result. @param {string} to */
function goOn(to) {
  const url = new URL(to, location.href);
  if (url.pathname + url.search !== location.pathname + location.search) location.assign(url);
  else if (url.hash === location.hash) location.reload();
  else { location.hash = url.hash; location.reload(); }
}

/** @param {number} ms @returns {Promise<void>} */
const wait = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/** Says that an entry is kept, and makes the form ready for the next. @param {HTMLFormElement} form @param {Entry} entry */
function sayKept(form, entry) {
  document.getElementById("kept-note")?.remove();
  const note = document.createElement("div");
  [note.id, note.className, note.tabIndex] = ["kept-note", "good", -1];
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  words.textContent = `Kept on this phone: ${entry.what}. It goes to the mill by itself.`;
  note.append(words);
  // A ticket is known on this phone by its key before the mill knows it: its juice can be measured.
  note.append(wayButtons(entry));
  form.before(note);
  doneChanging();
  forgetDoubts(form);
  form.reset();
  freshKey(form);
  // A button of its own is tapped once.
  if (!form.matches(".sheet")) form.hidden = true;
  note.focus();
}

/**
 * What becomes of a tap that the phone cannot keep: it goes straight to the mill, or the form stays as it is and says so.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} entry @param {unknown} error
 */
async function notKept(form, button, entry, error) {
  if (!line) return;
  full = storeWords(error);
  // Of a page that came from the mill just now its first form goes as without scripts.
  const first = hidden(form, "form_key")?.dataset.first;
  if (seen === 0 && first === undefined) return sendPlainly(form, button);
  // Any other goes alone, under its own key, after what was tapped before it.
  await run();
  const answer = await net.post(entry);
  if (answer?.status === 201) return goOn(answer.to);
  if (answer?.status === 409 || answer?.status === 422) return sendPlainly(form, button, { ...entry, answer: answer.page });
  const then = answer?.status === 401 ? "sign in again, then send it" : "send it again when there is network";
  showWarning(line, `${full} What you typed stands here still: ${then}.`);
}

/** Whether the mill answers before a hand loses its patience. @param {Store} store @returns {Promise<boolean>} */
async function reached(store) {
  const here = await Promise.race([contact(store, net), wait(PATIENCE_MS).then(() => null)]);
  if (!here) ending = "no network";
  return here !== null;
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button */
async function tapped(form, button) {
  if (!line) return;
  if (!store) return sendPlainly(form, button);
  told = "";
  if (sayBeyond(form)) return;
  // The mill asks about what is odd where it can be reached; else this phone does, by what it knows.
  const doubt = doubtOf(form, button, await store.all().catch(() => []));
  if (doubt && (isAway() || !(await reached(store)))) {
    ask(form, button, doubt);
    return show();
  }
  await numbered(store, form);
  const who = await whoStands(store, line);
  const entry = entryOf(form, button, { ...who, ahead: null });
  try {
    const before = await store.get(entry.key);
    // Mended, it was still tapped when it was tapped first.
    if (before) [entry.tapped, entry.went] = [before.tapped, before.went];
    entry.ahead = before ? before.ahead : ((await store.fact("ahead")) ?? null);
    await store.put(entry);
  } catch (error) {
    return notKept(form, button, entry, error);
  }
  full = "";
  if (untried) await store.note("tried", true).catch(() => {});
  untried = false;
  await noteUse(store, who).catch(() => {});
  answers.delete(entry.key);
  await Promise.race([run(), wait(PATIENCE_MS)]);
  const answer = answers.get(entry.key);
  if (answer?.status === 201) return goOn(answer.to);
  if (answer) return sendPlainly(form, button, { ...entry, answer: answer.page });
  news?.postMessage("kept");
  sync();
  sayKept(form, entry);
  await show();
}

/** Asks the browser to send when the network is back, also when no page is open. */
async function sync() {
  try {
    const ready = /** @type {any} */ (await navigator.serviceWorker.ready);
    await ready.sync?.register("canewright-send");
  } catch {
    // Not every browser has it: what waits goes at the next look.
  }
}

/** Whether it is known if there is a store. */
let opened = false;
/** @type {WeakSet<HTMLFormElement>} */
const busy = new WeakSet();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || (opened && !store) || !(form instanceof HTMLFormElement)) return;
  const button = event.submitter;
  if (!form.matches("[data-keep]") || form.querySelector("input[type=password]") || button?.dataset.keep === "no") return;
  event.preventDefault();
  if (busy.has(form)) return;
  busy.add(form);
  // A tap may come before the store is open.
  opening.then(() => tapped(form, button)).finally(() => busy.delete(form));
});

/** Has the mill set a few ticket numbers aside for this phone. @param {Store} store @param {string} day its address */
async function holdNumbers(store, day) {
  const phone = (await store.fact("phone")) ?? newKey(Date.now());
  await store.note("phone", phone);
  const body = new URLSearchParams({ phone, form_key: newKey(Date.now()) });
  const headers = { "kept-by": line?.dataset.member ?? "", "kept-tapped": String(Math.floor(Date.now() / 1000)) };
  const answer = await fetch(`${day}/numbers`, { method: "POST", body, headers });
  if (answer.ok) await store.note(`numbers ${day}`, await answer.json());
}

/** Without network a new ticket takes one of this phone's numbers. @param {Store} store @param {HTMLFormElement} form */
async function numbered(store, form) {
  const box = hidden(form, "number");
  const day = new URL(form.action).pathname.match(/^\/days\/[\d-]+(?=\/tickets\/new$)/)?.[0];
  if (!box || box.value.trim() !== "" || !day || !isAway()) return;
  try {
    const [number, ...rest] = (await store.fact(`numbers ${day}`)) ?? [];
    if (number === undefined) return;
    await store.note(`numbers ${day}`, rest);
    box.value = String(number);
  } catch {
    // A number that cannot be crossed off would be given twice: the mill gives one.
  }
}

/** Has the worker keep the pages of the day beforehand: all of a day that is looked at, else what is left of it. */
async function keepDay() {
  const day = location.pathname.match(/^\/days\/[\d-]+$/)?.[0] ?? "";
  if (!store || isAway()) return;
  try {
    (await navigator.serviceWorker.ready).active?.postMessage({ keepDay: day });
    if (day === "" || Date.now() - ((await store.fact(`asked ${day}`)) ?? 0) < NUMBERS_MS) return;
    await holdNumbers(store, day);
    await store.note(`asked ${day}`, Date.now());
  } catch {
    // Another time.
  }
}

/** Opens the phone's store, and looks whether it takes anything. @returns {Promise<void>} */
async function open() {
  if (!line) return;
  const cannot = missing();
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
    if (!store) return showWarning(line, storeWords(error));
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
news?.addEventListener("message", show);
document.addEventListener("visibilitychange", () => { if (!document.hidden) run(); });
setInterval(async () => {
  if (store && !document.hidden && runs === 0 && (await store.all()).some((entry) => entry.state === "waits")) run();
}, AGAIN_MS);

const opening = Promise.race([open().catch(() => { store = null; }), wait(OPEN_MS)]).finally(() => { opened = true; });
opening.then(start);
