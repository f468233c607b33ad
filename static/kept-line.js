// The one line that says where the entries of this phone stand, and the list behind it.

import { reason } from "./kept-forms.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/**
 * What the list can do with an entry.
 * @typedef {{ mend: (entry: Entry) => void, again: (entry: Entry) => void, drop: (entry: Entry) => void }} Hands
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

/** The time of a tap, as this phone shows it. @param {Entry} entry */
const when = (entry) => new Date(entry.tapped * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

/** @param {Entry} entry @param {Hands} hands */
function line(entry, hands) {
  const item = part("li");
  item.append(part("strong", entry.what), part("span", ` (${when(entry)}, ${entry.byName})`, "soft"));
  if (entry.state !== "needs") return item;
  item.append(part("p", reason(entry), "problem"));
  const way = part("p");
  if (entry.answer === "" || entry.answer.includes(entry.key)) way.append(button("Mend it", () => hands.mend(entry)), " ");
  else way.append(button("Try it again", () => hands.again(entry)), " ");
  const away = button("Throw it away", () => {
    // Only a second tap throws away: what was typed is gone then.
    if (away.dataset.sure) hands.drop(entry);
    away.dataset.sure = "yes";
    away.textContent = "Really throw it away";
  });
  way.append(away);
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
  const words = said.length === 0 ? "All sent" : said.join(" · ");
  at.hidden = false;
  at.classList.toggle("waits", said.length > 0);
  at.classList.toggle("needs", needs.length > 0);
  const status = said.length === 0 ? why : [why, ""].filter(Boolean).join(" ");
  if (at.dataset.words === JSON.stringify([words, status, entries.map((e) => [e.key, e.state, e.what])])) return;
  at.dataset.words = JSON.stringify([words, status, entries.map((e) => [e.key, e.state, e.what])]);
  if (said.length === 0) {
    at.replaceChildren(part("p", [words, status].filter(Boolean).join(". ")));
    return;
  }
  const open = at.querySelector("details")?.open ?? false;
  const details = document.createElement("details");
  details.open = open;
  const list = part("ul");
  list.append(...[...needs, ...waits].map((entry) => line(entry, hands)));
  details.append(part("summary", words), list);
  at.replaceChildren(details);
  if (status) at.append(statusLine(status));
}

/** @param {string} words */
function statusLine(words) {
  const said = part("p");
  if (!words.includes("Sign in again")) {
    said.textContent = words;
    return said;
  }
  const way = document.createElement("a");
  way.href = `/sign-in?next=${encodeURIComponent(location.pathname)}`;
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
