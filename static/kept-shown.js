// What a page shows of entries that are kept and not sent yet, and of those that went after the page was seen: tickets, juice in
// vessels, a finish. The mill's page cannot know them.

import { pageOf } from "./kept-forms.js";
import { sinceOf } from "./kept-sent.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/** Opening a ticket. */
export const NEW_TICKET = /^\/days\/([\d-]+)\/tickets\/new$/;
const NEW_JUICE = /^\/tickets\/[^/]+\/juice\/new$/;
const FINISH = /^(\/boils\/[^/]+)\/finish$/;
const MOVE = /^\/tickets\/[^/]+\/move$/;
const HAND_OVER = /^\/members\/[^/]+\/hand-over$/;
const OF_TICKET = /^\/tickets\/([0-9a-f-]{36})\/(juice|loads)\/new$/;

/** What was typed into a box. @param {Entry} entry @param {string} name */
export const typed = (entry, name) => entry.boxes.find(([box]) => box === name)?.[1].trim() ?? "";

/** "ticket 29, Homer Yancey" @param {Entry} entry */
export function ticketOf(entry) {
  const number = typed(entry, "number");
  const ticket = number === "" ? "the ticket" : `ticket ${number}`;
  if (!entry.whose) return ticket;
  return number === "" ? `${ticket} of ${entry.whose}` : `${ticket}, ${entry.whose}`;
}

/** What is said of what came back, in few words. */
const BACK = "came back, needs you";

/** " (645 less 195)": which of several weighings of one member it is. @param {Entry} entry */
export function weights(entry) {
  const [gross, tare] = [typed(entry, "gross"), typed(entry, "tare")];
  return gross === "" ? "" : ` (${gross}${tare === "" ? "" : ` less ${tare}`})`;
}

/** Whether an entry came back from the mill: it is not on its way there. @param {Entry} entry */
const isBack = (entry) => !entry.sent && entry.state === "needs";

/** The juice of a ticket that was opened on this phone, measured here as well. @param {Entry} entry @param {Entry[]} all */
const juiceOf = (entry, all) => all.find((other) => other.target === `/tickets/${entry.key}/juice/new`);

/**
 * What can be done next with what an entry makes, though the mill does not know it yet.
 * @param {Entry} entry @param {Entry[]} all what else this phone knows of: what was measured is not offered to be measured again
 * @returns {[string, string][]} address and words
 */
export function waysOf(entry, all) {
  if (NEW_TICKET.test(entry.target)) {
    /** @type {[string, string][]} */
    const juice = juiceOf(entry, all) ? [] : [[`/tickets/${entry.key}/juice/new`, "Measure its juice"]];
    return [...juice, [`/tickets/${entry.key}/loads/new`, "Weigh another load"]];
  }
  // A finish put right has its jars on the page of the boil.
  const boil = typed(entry, "finish_why") === "" && entry.target.match(FINISH)?.[1];
  return boil ? [[`${boil}/jars`, "Fill its jars"]] : [];
}

/** The ways as buttons in a row; nothing when there is none. @param {Entry} entry @param {Entry[]} all @param {HTMLElement[]} more further buttons */
export function wayButtons(entry, all, ...more) {
  const ways = waysOf(entry, all).map(([href, words]) => {
    const way = document.createElement("a");
    [way.className, way.href, way.textContent] = ["do plain", href, words];
    return way;
  });
  const row = document.createElement("div");
  row.className = "ways";
  row.append(...ways, ...more);
  return row.childElementCount > 0 ? row : "";
}

/** A way to the list behind the line, where what came back says why and can be mended. */
export function toList() {
  const row = document.createElement("div");
  const way = document.createElement("button");
  [row.className, way.className, way.type, way.textContent] = ["ways", "do plain", "button", "See what is wrong"];
  way.addEventListener("click", () => {
    const list = document.querySelector("#kept details");
    if (!(list instanceof HTMLDetailsElement)) return;
    list.open = true;
    list.scrollIntoView({ block: "nearest" });
    list.querySelector("summary")?.focus();
  });
  row.append(way);
  return row;
}

/** What is said of an entry of this phone that the page does not know. @param {Entry} entry @param {string} known what it is @param {Entry[]} sent */
function said(entry, known, sent) {
  const since = sinceOf(entry, sent);
  if (since) return `${known} came back from the mill. ${since.words}${weights(since.entry)}: throw it away or mend it. `;
  if (entry.sent) return `${known}: at the mill; this page is from before that. `;
  return isBack(entry) ? `${known} came back from the mill and needs you. ` : `${known}: kept on this phone, not at the mill yet. `;
}

/**
 * Says on a day's page which tickets, on a boil's that its finish is kept on this phone, or came back.
 * @param {Entry[]} entries @param {Entry[]} sent what the mill took a short while ago
 */
function sayHere(entries, sent) {
  const path = pageOf(location.pathname);
  const day = path.match(/^\/days\/([\d-]+)$/)?.[1];
  const here = entries.filter((entry) => (day ? entry.target.match(NEW_TICKET)?.[1] === day : entry.target === `${path}/finish`))
    .filter((entry) => waysOf(entry, entries).length > 0);
  const old = document.getElementById("kept-here");
  const shown = JSON.stringify(here.map((entry) => [entry.key, entry.what, entry.sent, entry.state, juiceOf(entry, entries)?.key, sinceOf(entry, sent)?.entry.key]));
  if (old?.dataset.shown === shown || (here.length === 0 && !old)) return;
  const made = document.createElement("section");
  [made.id, made.className, made.dataset.shown] = ["kept-here", "note", shown];
  made.setAttribute("aria-label", "What this page does not know yet");
  for (const entry of here) {
    const words = document.createElement("p");
    const known = day ? `${ticketOf(entry)[0].toUpperCase()}${ticketOf(entry).slice(1)}${isBack(entry) ? weights(entry) : ""}` : "The finish";
    words.textContent = said(entry, known, sent) + (juiceOf(entry, entries) ? "Its juice is measured." : "");
    made.append(words, isBack(entry) ? toList() : wayButtons(entry, entries));
  }
  old?.remove();
  if (here.length > 0) document.querySelector("main h1")?.after(made);
}

/** Names the ticket and whose it is on the page of its juice or another load. @param {Entry[]} entries */
function nameTicket(entries) {
  const [, key, what] = location.pathname.match(OF_TICKET) ?? [];
  const entry = entries.find((one) => one.key === key);
  const title = document.querySelector("main h1");
  // The mill's own page of a ticket names it already.
  if (!title || !key || (!title.textContent?.endsWith("on this phone") && title.id !== "of-ticket")) return;
  title.id = "of-ticket";
  const kind = what === "juice" ? "Juice" : "Load";
  title.textContent = `${kind} of ${entry ? ticketOf(entry) : "a ticket at the mill"}`;
  document.title = title.textContent;
  const whose = document.querySelector("main > p bdi");
  const says = entry?.whose || (entry ? "" : "a ticket at the mill whose own page this phone has not");
  if (whose && says) whose.textContent = says;
}

/** A weight of syrup in the unit of a page of jars. @param {number} grams @param {HTMLElement} sums */
export const syrup = (grams, sums) => (sums.dataset.small === "oz" ? `${(grams / 453.59237).toFixed(2)} lb` : `${(grams / 1000).toFixed(2)} kg`);

/** Says on the page of a boil's jars, which phones keep beforehand, whether its finish is known here. @param {Entry[]} entries */
function sayFinish(entries) {
  const boil = location.pathname.match(/^(\/boils\/[^/]+)\/jars$/)?.[1];
  const words = document.getElementById("of-finish")?.firstChild;
  if (!boil || !words) return;
  const finish = entries.find((entry) => entry.target === `${boil}/finish`);
  const kept = finish && !finish.sent && (isBack(finish) ? "The finish came back and needs you: these jars wait for it." : "The finish is kept on this phone and goes to the mill before these jars.");
  const sums = document.querySelector("[data-syrup]");
  const has = sums instanceof HTMLElement ? Number(sums.dataset.syrup) : 0;
  const atMill = finish?.sent ? "The finish is at the mill." : has > 0 && sums instanceof HTMLElement ? `The finish is at the mill: ${syrup(has, sums)} of syrup, ${syrup(Number(sums.dataset.jarred), sums)} of it in jars already.` : undefined;
  const says = kept ?? atMill ?? "No finish of this boil is kept on this phone. Where the mill has none either, it takes no jars: write the finish first.";
  if (words.textContent?.trim() !== says) words.textContent = `${says} `;
}

/** Marks vessels that hold juice which the mill does not know of. @param {Entry[]} entries */
function fillVessels(entries) {
  for (const box of document.querySelectorAll('input[name="vessel"]')) {
    const label = box instanceof HTMLInputElement ? box.labels?.[0] : null;
    if (!label || !(box instanceof HTMLInputElement)) continue;
    label.dataset.was ??= label.textContent ?? "";
    const inside = entries.filter((entry) => NEW_JUICE.test(entry.target) && typed(entry, "vessel") === box.value)
      .map((entry) => `${entry.what.split(" · ")[0]}, ${entry.sent ? "sent from this phone" : isBack(entry) ? BACK : "kept on this phone"}`);
    const was = label.dataset.was;
    const before = was.endsWith(": empty") ? was.replace(/empty$/, "") : `${was}; `;
    const says = inside.length === 0 ? was : before + inside.join("; ");
    if (label.textContent !== says) label.textContent = says;
  }
}

/** What is said of a turn that was weighed on this phone. @param {Entry} entry */
function weighedWords(entry) {
  if (MOVE.test(entry.target)) return isBack(entry) ? BACK : `a ticket was moved here${entry.sent ? "" : ", kept on this phone"}`;
  const number = typed(entry, "number");
  return isBack(entry) ? BACK : `weighed, ${number === "" ? "kept on this phone" : `ticket ${number}`}`;
}

/** Marks turns that were weighed in on this phone, where the mill's page still has them come. @param {Entry[]} entries */
function markTurns(entries) {
  const weighed = new Map(entries.filter((entry) => NEW_TICKET.test(entry.target) || MOVE.test(entry.target)).map((entry) => [typed(entry, "whose"), entry]));
  const ways = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll('main a[href*="/tickets/new?turn="]'));
  const choices = /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('input[name="whose"]'));
  /** @type {[Element, string][]} */
  const places = [
    ...[...ways].map((way) => /** @type {[Element, string]} */ ([way, `turn:${new URL(way.href).searchParams.get("turn")}`])),
    ...[...choices].flatMap((one) => [...(one.labels ?? [])].map((label) => /** @type {[Element, string]} */ ([label, one.value]))),
  ];
  for (const [place, turn] of places) {
    const entry = weighed.get(turn);
    const words = entry ? weighedWords(entry) : "";
    const old = place.querySelector(".tag.here");
    if ((old?.textContent ?? "") === words) continue;
    old?.remove();
    // What is weighed is not late any more; what came back is not weighed.
    const done = words !== "" && words !== BACK;
    for (const late of (place.closest("li") ?? place).querySelectorAll(".tag.warn")) if (late instanceof HTMLElement) late.hidden = done;
    if (words === "") continue;
    const tag = document.createElement("span");
    [tag.className, tag.textContent] = [`tag here ${done ? "ok" : "warn"}`, words];
    const end = place.querySelector("br");
    if (end) end.before(" ", tag);
    else place.append(" ", tag);
  }
}

/** Says on a ticket's page, and where it is moved, what was tapped of it on this phone. @param {Entry[]} entries */
function sayOfTicket(entries) {
  const ticket = location.pathname.match(/^\/tickets\/[^/]+(?=$|\/move$)/)?.[0];
  const here = ticket ? entries.filter((entry) => entry.target.startsWith(`${ticket}/`) && entry.target !== `${ticket}/sample`) : [];
  const says = here.map((entry) => {
    const where = isBack(entry) ? "came back from the mill and needs you" : "kept on this phone, not at the mill yet";
    return `${entry.what}: ${entry.sent ? "at the mill; this page is from before that" : where}.`;
  });
  const old = document.getElementById("of-this-ticket");
  if ((old?.dataset.shown ?? "") === says.join("\n")) return;
  old?.remove();
  if (says.length === 0) return;
  const made = document.createElement("section");
  [made.id, made.className, made.dataset.shown] = ["of-this-ticket", "note", says.join("\n")];
  made.setAttribute("aria-label", "What this page does not know yet");
  for (const words of says) {
    const line = document.createElement("p");
    line.textContent = words;
    made.append(line);
  }
  document.querySelector("main h1")?.after(made);
}

/** Marks members whose jars were handed over on this phone, and says so where they would be handed over again. @param {Entry[]} entries */
function markJars(entries) {
  const handed = entries.filter((entry) => HAND_OVER.test(entry.target));
  const words = (/** @type {Entry} */ entry) => (entry.sent ? "handed over since" : isBack(entry) ? BACK : "handed over, kept on this phone");
  for (const way of /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll('main td a[href$="/hand-over"], main th a[href$="/hand-over"]'))) {
    const entry = handed.findLast((one) => one.target === new URL(way.href).pathname);
    const old = way.parentElement?.querySelector(".tag.here");
    const says = entry ? words(entry) : "";
    if ((old?.textContent ?? "") === says) continue;
    old?.remove();
    if (!entry) continue;
    const tag = document.createElement("span");
    [tag.className, tag.textContent] = [`tag here ${isBack(entry) ? "warn" : "ok"}`, says];
    way.after(" ", tag);
  }
  const here = handed.findLast((one) => one.target === location.pathname);
  const said = here ? `${here.sent ? "The mill has it already" : isBack(here) ? "It came back from the mill" : "Kept on this phone already"}: ${here.what}. Hand over here only what is more than that.` : "";
  const old = document.getElementById("handed");
  if ((old?.textContent ?? "") === said) return;
  old?.remove();
  if (said === "") return;
  const note = document.createElement("p");
  [note.id, note.className, note.textContent] = ["handed", "note", said];
  document.querySelector("main form.sheet")?.before(note);
}

/**
 * Shows on this page what it cannot know.
 * @param {Entry[]} waits what is kept on this phone
 * @param {Entry[]} sent what the mill took of it a short while ago
 * @param {number} known when the mill was asked for this page, ms since 1970 by this phone's clock
 * @param {boolean} mending whether an entry is put right on this page: nothing else is offered above its form
 */
export function showKept(waits, sent, known, mending) {
  const entries = [...sent.filter((entry) => (entry.sent ?? 0) > known), ...waits];
  sayHere(mending ? [] : entries, sent);
  nameTicket([...sent, ...waits]);
  sayFinish([...sent, ...waits]);
  fillVessels(entries);
  markTurns(entries);
  markJars(entries);
  sayOfTicket(mending ? [] : entries);
}
