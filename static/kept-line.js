// The one line that says where the entries of this phone stand, and the list behind it.

import { isHere, opensAgain } from "./kept-change.js";
import { answersOf, firstOf, reasons } from "./kept-forms.js";
import { sinceOf } from "./kept-sent.js";
import { typed, wayButtons, weights } from "./kept-shown.js";
import { twinsOf } from "./kept-twin.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/**
 * What the list can do with an entry.
 * @typedef {object} Hands
 * @property {(entry: Entry) => void} mend
 * @property {(entry: Entry) => void} again
 * @property {(entry: Entry, box: string, value: string) => void} answer
 * @property {(entry: Entry) => void} drop
 * @property {(entry: Entry, twin: import("./kept-twin.js").Twin) => void} lead
 * @property {(entry: Entry) => void} change
 * @property {(entry: Entry) => void} takeBack
 * @property {boolean} firm whether it is noted on this phone what was sent: on one that is full it may not be
 * @property {boolean} mending whether an entry that came back is put right on this page
 * @property {Entry[]} sent what the mill took of this phone a short while ago
 * @property {string} me who may say "It was me" of an entry without a name; empty: nobody just now
 * @property {(entry: Entry) => void} claim
 */

/** @param {string} tag @param {string} [words] @param {string} [look] */
function part(tag, words = "", look = "") {
  const made = document.createElement(tag);
  made.textContent = words;
  if (look) made.className = look;
  return made;
}

/** @param {string} words @param {() => void} press */
function button(words, press) {
  const made = part("button", words, "do plain");
  made.setAttribute("type", "button");
  made.addEventListener("click", press);
  return made;
}

/** @param {number} n @param {string} one @param {string} more */
const count = (n, one, more) => (n === 1 ? one : more.replace("#", String(n)));

/** The mill's time zone, as the page says it; a browser that does not know it tells its own time. */
const ZONE = document.getElementById("kept")?.dataset.zone;
const HANDS = hands(ZONE) ?? hands(undefined);

/** @param {string | undefined} timeZone */
function hands(timeZone) {
  try {
    return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone });
  } catch {
    return undefined;
  }
}

/** Whether whoever reads this page reads a 12-hour clock: the hidden line holds a time as the page writes it. */
const TWELVE = document.getElementById("kept")?.textContent?.includes("pm") ?? false;

/**
 * A time that this phone's clock told, in the mill's time zone and written as the page's other times.
 * @param {number} ms since 1970, by this phone's clock
 * @param {number} ahead how far that clock was ahead of the mill's, seconds
 */
export function clock(ms, ahead) {
  const [hour = 0, minute = 0] = clock24(ms, ahead).split(":").map(Number);
  const [h, m] = [TWELVE ? hour % 12 || 12 : String(hour).padStart(2, "0"), String(minute).padStart(2, "0")];
  return TWELVE ? `${h}:${m} ${hour < 12 ? "am" : "pm"}` : `${h}:${m}`;
}

/** The same on a 24-hour clock. @param {number} ms @param {number} ahead */
export const clock24 = (ms, ahead) => HANDS?.format(ms - ahead * 1000) ?? "";

/** The time of a tap. @param {Entry} entry */
const when = (entry) => clock(entry.tapped * 1000, entry.ahead ?? 0);

/** A button that does it at the second tap only: what was typed is gone then. @param {string} words @param {string} sure @param {() => void} press */
function twice(words, sure, press) {
  const made = button(words, () => {
    if (made.dataset.sure) press();
    made.dataset.sure = "yes";
    made.textContent = sure;
  });
  return made;
}

/** What can be done with an entry that waits. @param {Entry} entry @param {Hands} hands @param {Entry[]} all @returns {(HTMLElement | string)[]} */
function waiting(entry, hands, all) {
  const more = [];
  if (entry.by === "" && hands.me !== "") more.push(button(`It was me: ${hands.me}`, () => hands.claim(entry)));
  if (!isHere(entry) || !hands.firm) return [part("p", "It may have reached the mill: it can be changed once that is known.", "soft"), wayButtons(entry, all, ...more)];
  if (opensAgain(entry)) more.push(button("Change it", () => hands.change(entry)));
  more.push(twice("Take it back", "Really take it back", () => hands.takeBack(entry)));
  const way = wayButtons(entry, all, ...more);
  return (entry.held ?? 0) > Date.now() ? [part("p", "It is being changed, and is not sent meanwhile.", "soft"), way] : [way];
}

/** "Weighed in since, ticket 29 (460 less 195, 13:32)": and the way there. @param {NonNullable<ReturnType<typeof sinceOf>>} since */
function sinceLine({ words, entry, href }) {
  const [said, number] = [part("p"), typed(entry, "number")];
  const figures = [weights(entry).replace(/[()]/g, "").trim(), when(entry)].filter(Boolean).join(", ");
  const way = part("a", `${words}${number === "" ? "" : `, ticket ${number}`} (${figures})`);
  way.setAttribute("href", href);
  said.append(way, ": throw this away or mend it.");
  return said;
}

/** @param {Entry} entry @param {Hands} hands @param {Entry[]} all */
function line(entry, hands, all) {
  const item = part("li");
  // A remark has the lines that it was typed with.
  item.append(part("strong", entry.what, "as-typed"), part("span", ` (${when(entry)}, ${entry.byName})`, "soft"));
  if (entry.state !== "needs") {
    item.append(...waiting(entry, hands, all));
    return item;
  }
  item.append(...reasons(entry).map((words) => part("p", words, "problem")));
  const way = part("p");
  const since = sinceOf(entry, hands.sent);
  if (since) item.append(sinceLine(since));
  for (const twin of twinsOf(entry)) way.append(button(twin.words, () => hands.lead(entry, twin)), " ");
  for (const [href, words] of firstOf(entry)) {
    const first = part("a", words, "do plain");
    first.setAttribute("href", href);
    way.append(first, " ");
  }
  // What was meant stands at the mill by now: sent again it would be twice.
  const answers = since ? [] : answersOf(entry);
  // Where there is only one thing to answer, one tap does it.
  if (answers.length === 1) for (const { box, value, words } of answers) way.append(button(words, () => hands.answer(entry, box, value)), " ");
  if (entry.answer === "" || entry.answer.includes(entry.key)) way.append(button("Mend it", () => hands.mend(entry)), " ");
  else way.append(button("Try it again", () => hands.again(entry)), " ");
  // What was meant is at the mill: nothing is lost with it.
  if (since) way.prepend(button("Throw it away", () => hands.drop(entry)), " ");
  else way.append(twice("Throw it away", "Really throw it away", () => hands.drop(entry)));
  item.append(way);
  return item;
}

/**
 * Shows where things stand.
 * @param {HTMLElement} at @param {Entry[]} entries @param {string} why what keeps those that wait, or nothing
 * @param {Hands} hands
 */
export function showLine(at, entries, why, hands) {
  const waits = entries.filter((entry) => entry.state === "waits");
  const needs = entries.filter((entry) => entry.state === "needs");
  const said = [];
  if (waits.length > 0) said.push(`${waits.length} not sent yet`);
  if (needs.length > 0) said.push(count(needs.length, "1 needs you", "# need you"));
  const nothing = hands.mending ? "What this form holds is not at the mill yet" : "All sent";
  const words = said.length === 0 ? nothing : said.join(" · ");
  at.hidden = false;
  at.classList.toggle("waits", said.length > 0);
  at.classList.toggle("needs", needs.length > 0);
  const status = said.length === 0 ? why : [why, ""].filter(Boolean).join(" ");
  const shown = JSON.stringify([words, status, hands.me, hands.firm, entries.map((e) => [e.key, e.state, e.what, e.by, isHere(e), e.held, sinceOf(e, hands.sent)?.entry.key])]);
  if (at.dataset.words === shown) return;
  at.dataset.words = shown;
  if (said.length === 0) {
    at.replaceChildren(part("p", [words, status].filter(Boolean).join(". ")));
    return;
  }
  const open = at.querySelector("details")?.open ?? false;
  const details = document.createElement("details");
  details.open = open;
  const list = part("ul");
  list.append(...[...needs, ...waits].map((entry) => line(entry, hands, entries)));
  details.append(part("summary", words), list);
  at.replaceChildren(details);
  if (status) at.append(statusLine(status, at.dataset.picked === undefined ? "/sign-in" : "/station"));
}

/** @param {string} words @param {string} door where somebody says who it is */
function statusLine(words, door) {
  const said = part("p");
  if (!words.includes("Sign in again")) {
    said.textContent = words;
    return said;
  }
  const way = document.createElement("a");
  way.href = `${door}?next=${encodeURIComponent(location.pathname)}`;
  way.textContent = "Sign in again";
  said.append(words.replace(/Sign in again.*$/, ""), way, ", then it goes by itself.");
  return said;
}

/**
 * Says what cannot be done here, before anything is typed.
 * @param {HTMLElement} at @param {string} words
 */
export function showWarning(at, words) {
  at.hidden = false;
  at.classList.add("waits");
  at.replaceChildren(part("p", words));
}

/** What cannot be done in this browser; nothing when all can. */
export function missing() {
  if (!isSecureContext) {
    return "This page came without https, so nothing can be kept on this phone: what you type goes out only while there is network. Write it on paper when there is none.";
  }
  if (!("indexedDB" in self) || !navigator.locks || !("serviceWorker" in navigator)) {
    return "This browser keeps nothing without network (an old one, or a private window): what you type goes out only while there is network.";
  }
  return "";
}

/** Why the store took nothing. @param {unknown} error */
export function storeWords(error) {
  const full = error instanceof DOMException && error.name === "QuotaExceededError";
  return full
    ? "This phone’s store is full: nothing more can be kept without network. Make room on the phone; what you type goes out only while there is network."
    : "This browser lets nothing be kept (a private window does that): what you type goes out only while there is network.";
}
