// What is odd about a weighing or a juice, asked before it is kept without network: by what stands on the page and in this
// phone's store. With network the mill asks, which knows more. Decides nothing: whoever stands at the scale knows.

import { blankOf } from "./kept-blank.js";
import { hidden, unfold } from "./kept-forms.js";
import { clock24 } from "./kept-line.js";
import { jarsDoubt } from "./kept-jars.js";
import { readingDoubt } from "./kept-pan.js";
import { NEW_TICKET, ticketOf, typed } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

/**
 * What is odd, or cannot be.
 * @typedef {object} Doubt
 * @property {string} words
 * @property {string} box the box that is looked at first
 * @property {[string, string]} [yes] box and value that say that it is so; none: it cannot be so
 * @property {boolean} [blank] the box is empty or cannot be read: it is shown, with the words beside it
 * @property {[string, string]} [way] address and words of what can be done instead
 */

/** So many times what the turn expects, or that part of it, is asked about; as the mill does. */
const FAR = 1.5;
/** So many times what the turn expects, without a tare. */
const FORGOTTEN = 1.3;
/** So many times every tare before, or that part of each: a misplaced point is tenfold. */
const TARE_FAR = 4;
/** Two readings of Brix agree within this. */
const APART = 0.5;
/** Two weighings of one member nearer than this are asked about, seconds, when their nets differ by no more than that part. */
const NEAR_S = 15 * 60;
const NEAR_PART = 1 / 50;
/** What a gallon and a litre of the thickest fresh juice weigh, lb and kg: no vessel holds more of it. @type {Record<string, number>} */
const HEAVIEST = { gal: 9.35, L: 1.12 };

/** What may be typed behind a figure in the units of the page; in another unit it is not reckoned with here. */
const UNITS = document.querySelector('[data-unit="kg"]') ? /\s*(kgs?|kilos?|l|°?\s?bx)$/i : /\s*(lbs?|pounds?|gal(lons?)?|°?\s?bx)$/i;

/** @param {string} text */
function number(text) {
  const plain = text.trim().replace(UNITS, "").replace(",", ".").replace("−", "-");
  return /^-?\d*\.?\d+$/.test(plain) ? Number(plain) : NaN;
}

/** @param {HTMLFormElement} form @param {string} name */
const text = (form, name) => hidden(form, name)?.value.trim() ?? "";

/** The choice of a row of buttons. @param {HTMLFormElement} form @param {string} name */
function chosen(form, name) {
  const one = form.querySelector(`input[name="${name}"]:checked`);
  return one instanceof HTMLInputElement ? one : null;
}

/** The unit of a step. @param {HTMLFormElement} form @param {string} name */
function unit(form, name) {
  const step = form.querySelector(`[data-step="${name}"]`);
  return step instanceof HTMLElement ? (step.dataset.unit ?? "") : "";
}

/** Tare of a known trailer that was tapped, else the one that was typed. @param {HTMLFormElement} form */
function tare(form) {
  const own = text(form, "tare");
  return own !== "" ? own : (chosen(form, "known_tare")?.value.split("|")[0] ?? "");
}

/** Whether somebody has said that it is so. @param {HTMLFormElement} form @param {HTMLElement | null} button @param {string} name @param {string} value */
function said(form, button, name, value) {
  const tapped = button instanceof HTMLButtonElement && button.name === name ? button.value : "";
  const box = form.querySelector(`input[name="${name}"]`);
  const held = box instanceof HTMLInputElement && (box.type !== "checkbox" || box.checked) ? box.value : "";
  return value !== "" && [tapped, held].includes(value);
}

/** Tares that the member's cane had before, without trailers of a name. @param {HTMLFormElement} form */
function tares(form) {
  const who = chosen(form, "whose")?.dataset.member ?? chosen(form, "member")?.value;
  const all = /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-whose]"));
  const own = [...all].filter((one) => who === undefined || one.dataset.whose === who);
  return own.map((one) => number(one.querySelector("input")?.value.split("|")[0] ?? "")).filter((one) => one > 0);
}

/** What is odd about the tare. @param {HTMLFormElement} form @param {number} of @param {string} lb */
function tareDoubt(form, of, lb) {
  const before = tares(form);
  const known = before.map((one) => `${one.toFixed(1)} ${lb}`).join(", ");
  if (of === 0 && before.length > 0) return `No tare, though this member’s cane had one before: ${known}. Was the trailer or basket forgotten?`;
  const far = (/** @type {number} */ one) => of / one > TARE_FAR || of / one < 1 / TARE_FAR;
  const typed = text(form, "tare") !== "";
  return typed && of > 0 && before.length > 0 && before.every(far) ? `A tare of ${of} ${lb}: it was ${known} before. Is a digit or the point out of place?` : "";
}

/** Whether a net is near what the turn expects. @param {number} net @param {number} expected */
const fits = (net, expected) => net <= FAR * expected && net >= expected / FAR;

/**
 * Which of two figures has its point one place off, when the net would be as expected with it put right.
 * @param {number} gross @param {number} bare @param {number} expected @param {string} lb
 * @returns {{ box: string, words: string } | null}
 */
function slip(gross, bare, expected, lb) {
  const nets = [["gross", gross], ["tare", bare]].flatMap(([box, read]) => [10, 0.1].map((times) => {
    const right = Number((Number(read) * times).toFixed(3));
    return { box: String(box), read, right, net: box === "gross" ? right - bare : gross - right };
  })).filter((one) => one.right > 0 && fits(one.net, expected));
  const [first, second] = nets;
  if (!first || second) return null;
  const words = ` Is the ${first.box} of ${first.read} ${lb} right? With ${first.right} ${lb} it would be ${Number(first.net.toFixed(3))} ${lb} net.`;
  return { box: first.box, words };
}

/**
 * What is odd about the net, by the turn, and at which figure it is looked at first.
 * @param {HTMLFormElement} form @param {number} gross @param {number} bare tare @param {string} lb
 * @returns {{ box: string, words: string } | null}
 */
function netDoubt(form, gross, bare, lb) {
  const expected = number(chosen(form, "whose")?.dataset.expected ?? "");
  const net = gross - bare;
  if (!(expected > 0)) return null;
  const of = `the ${expected.toFixed(1)} ${lb} that the turn expects`;
  if (bare === 0 && net > FORGOTTEN * expected) return { box: "tare", words: `No tare, and much more than ${of}. Was the trailer or basket forgotten?` };
  if (fits(net, expected)) return null;
  const likely = slip(gross, bare, expected, lb);
  const figures = `${bare > 0 ? `${gross} ${lb} less ${bare} ${lb}: ` : ""}${Number(net.toFixed(3))} ${lb} net`;
  const [than, still] = net > expected ? ["more", ""] : ["less", "whether another load is still to come"];
  const look = likely ? `${likely.words}${still ? ` Please see also ${still}.` : ""}` : ` Please see whether a digit or the point is out of place${still ? `, or ${still}` : ""}.`;
  const words = `${figures} is ${than} than ${of}.${look}`;
  return { box: likely?.box ?? "gross", words };
}

/** Net of an entry that waits; not a number where it cannot be told. @param {Entry} entry */
function netOf(entry) {
  const bare = typed(entry, "tare") || (typed(entry, "known_tare").split("|")[0] ?? "");
  return number(typed(entry, "gross")) - number(bare);
}

/** The same turn, or the same load, that waits on this phone already. @param {HTMLFormElement} form @param {number} net @param {Entry[]} others @returns {Doubt | null} */
function twin(form, net, others) {
  const [turn, who] = [chosen(form, "whose")?.value ?? "", chosen(form, "member")?.value ?? ""];
  const here = others.filter((one) => NEW_TICKET.test(one.target) && one.target === new URL(form.action).pathname);
  const same = here.find((one) => turn !== "" && typed(one, "whose") === turn);
  if (same && !same.sent && same.state === "needs") {
    return { words: "What was weighed of this turn on this phone came back from the mill. Please mend that, or throw it away: it stands in the list at the top.", box: "gross" };
  }
  if (same) {
    const change = same.sent ? "" : ", or change it under “not sent yet”";
    const words = `This turn was weighed in on this phone already, on ${ticketOf(same)}. Weigh another load of that ticket instead${change}.`;
    return { words, box: "gross", way: [`/tickets/${same.key}/loads/new`, "Weigh another load of it"] };
  }
  const near = here.find((one) => who !== "" && typed(one, "member") === who && Date.now() / 1000 - one.tapped <= NEAR_S
    && Math.abs(netOf(one) - net) <= NEAR_PART * Math.max(net, netOf(one)));
  if (!near) return null;
  const [ago, lb] = [Math.round((Date.now() / 1000 - near.tapped) / 60), unit(form, "gross")];
  const when = ago < 1 ? "a moment ago" : `${ago} min ago`;
  const name = ticketOf(near).replace(/^t/, "T");
  const both = `with ${Number(netOf(near).toFixed(3))} ${lb} net; this would be ${Number(net.toFixed(3))} ${lb}`;
  return { words: `The same load? ${name} was weighed on this phone ${when}, ${both}. If it is the same, leave this page: nothing more is to be done.`, box: "gross", yes: ["another", "yes"] };
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry[]} others @returns {Doubt | null} */
function ofWeighing(form, button, others) {
  const [gross, bare, lb] = [number(text(form, "gross")), number(tare(form)), unit(form, "gross")];
  if (Number.isNaN(gross) || Number.isNaN(bare)) return null;
  if (bare >= gross) {
    return { box: "tare", words: `The tare must be less than the gross of ${gross} ${lb}: the empty trailer or basket weighs less than with cane on it. Please see whether the two were exchanged, or a digit is out of place.` };
  }
  const again = twin(form, gross - bare, others);
  if (again && !(again.yes && said(form, button, ...again.yes))) return again;
  const [net, was] = [netDoubt(form, gross, bare, lb), tareDoubt(form, bare, lb)];
  // The tare is looked at first; a net that is odd for the same slip says nothing more.
  const words = [was, was !== "" && net?.box === "tare" ? "" : net?.words].filter(Boolean).join(" ");
  // As the mill reads them back.
  const figures = [text(form, "gross"), tare(form)].join(" and ");
  return words === "" || said(form, button, "sure", figures) ? null : { words, box: was !== "" ? "tare" : net?.box ?? "gross", yes: ["sure", figures] };
}

/** @param {HTMLFormElement} form @returns {Doubt | null} */
function ofVessel(form) {
  const vessel = chosen(form, "vessel");
  const [holds, held] = [number(vessel?.dataset.holds ?? ""), number(text(form, "amount"))];
  const [measure, name] = [vessel?.dataset.unit ?? "", vessel?.dataset.name ?? ""];
  const kind = chosen(form, "kind")?.value ?? "";
  const words = vessel?.labels?.[0]?.textContent ?? "";
  const inside = words.includes(": ") ? words.slice(words.indexOf(": ", name.length) + 2) : "empty";
  if (inside !== "empty" && !said(form, null, "vessel_empty", "yes")) {
    return { box: "vessel", words: `${name} holds ${inside}, as far as this phone knows, and two members’ juice is not mixed here. Please choose another vessel; or, if it stands empty, say so.`, yes: ["vessel_empty", "yes"] };
  }
  const least = kind === "mass" ? held / (HEAVIEST[measure] ?? NaN) : held;
  if (kind === "" || !(least > holds)) return null;
  return { box: "amount", words: `${text(form, "amount")} is more than ${name} holds, ${holds.toFixed(1)} ${measure}. Please check the reading, or measure the rest in another vessel.` };
}

/** A time of day as it is typed, "9:30", "9.30" or "930", in minutes; not a number where it cannot be read. @param {string} text */
function minutesOf(text) {
  const [, hour, minute] = text.trim().match(/^(\d{1,2})[:.,h ]?(\d{2})$/) ?? [];
  return Number(hour) * 60 + Number(minute);
}

/**
 * Juice pressed before its cane was weighed, where that was weighed on this phone. Half a day apart it is of the other side of midnight.
 * @param {HTMLFormElement} form @param {Entry[]} others @returns {Doubt | null}
 */
function ofPressing(form, others) {
  const ticket = others.find((one) => NEW_TICKET.test(one.target) && new URL(form.action).pathname.includes(one.key));
  const pressed = text(form, "pressed");
  if (!ticket || pressed === "") return null;
  const weighed = typed(ticket, "weighed") || clock24(ticket.tapped * 1000, ticket.ahead ?? 0);
  const early = minutesOf(weighed) - minutesOf(pressed);
  if (!(early > 0 && early < 12 * 60)) return null;
  return { box: "pressed", words: `Pressed at ${pressed} is before its cane was weighed, at ${weighed}. Please write when it was pressed, or leave it empty for this moment.` };
}

/** @param {HTMLFormElement} form @returns {Doubt | null} */
function ofBrix(form) {
  const all = ["brix_1", "brix_2", "brix_3"].map((name) => text(form, name)).filter((one) => one !== "");
  const read = all.map(number);
  const apart = (/** @type {number} */ a, /** @type {number} */ b) => Math.abs(a - b) > APART + 1e-9;
  const [a = NaN, b = NaN, c = NaN] = read;
  if (read.length === 2 && apart(a, b)) {
    return { box: "brix_3", words: `${all[0]} and ${all[1]} are more than ${APART} °Bx apart. Please stir the juice, wipe the prism and take a third reading.` };
  }
  if (read.length === 3 && apart(a, b) && apart(b, c) && apart(a, c)) {
    return { box: "brix_3", words: `No two of these readings agree within ${APART} °Bx. Please check the refractometer in clean water, stir the juice and read again.` };
  }
  return null;
}

/**
 * What is odd about what stands in a form, by what this phone knows.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @param {Entry[]} entries those that wait on this phone, and those that it sent a short while ago
 * @returns {Doubt | null}
 */
export function doubtOf(form, button, entries) {
  const own = hidden(form, "form_key")?.value;
  const others = entries.filter((one) => one.key !== own);
  const blank = blankOf(form, button);
  if (blank) return blank;
  if (hidden(form, "gross")) return ofWeighing(form, button, others);
  if (form.querySelector('button[name="remark"]')) return readingDoubt(form, button, others);
  if (form.querySelector("[data-syrup]")) return jarsDoubt(form, others);
  return hidden(form, "brix_2") ? ofVessel(form) ?? ofPressing(form, others) ?? ofBrix(form) : null;
}

/** Whether a button says what became of the fire, or quiets the alarm: such a tap counts at once, whatever is typed beside it. @param {HTMLElement | null} button */
export const saysRemark = (button) => button instanceof HTMLButtonElement && button.name === "remark";

/** A box for the third reading, where the page has none yet. @param {HTMLFormElement} form */
function third(form) {
  if (hidden(form, "brix_3")) return;
  const [step, box, label, input] = [document.createElement("div"), document.createElement("div"), document.createElement("label"), document.createElement("input")];
  [step.className, box.className, step.dataset.doubt] = ["weigh", "box", "third"];
  [label.textContent, label.htmlFor] = ["Brix, third reading", "f-brix_3"];
  [input.className, input.id, input.name, input.inputMode, input.autocomplete] = ["short", "f-brix_3", "brix_3", "decimal", "off"];
  box.append(label, input);
  step.append(box);
  const more = form.querySelector("details.more");
  if (more) more.before(step);
  else form.append(step);
}

/** Takes away what was asked. @param {HTMLFormElement} form */
export function forgetDoubts(form) {
  for (const part of form.querySelectorAll("[data-doubt]")) part.remove();
}

/**
 * Asks about it in the form, before anything is kept.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @param {Doubt} doubt
 */
export function ask(form, button, doubt) {
  for (const old of form.querySelectorAll(".alarm[data-doubt], .problem[data-doubt]")) old.remove();
  if (doubt.box === "brix_3") third(form);
  const alarm = document.createElement("div");
  [alarm.className, alarm.dataset.doubt] = ["alarm", "asked"];
  alarm.setAttribute("role", "alert");
  const words = document.createElement("p");
  words.textContent = `${doubt.words} ${saysRemark(button) ? "The tap is kept, this figure is not yet." : "Nothing was kept yet."}`;
  alarm.append(words);
  if (doubt.yes) alarm.append(itIsSo(form, button, doubt.yes));
  if (doubt.way) {
    const way = document.createElement("a");
    [way.className, way.href, way.textContent] = ["do plain", ...doubt.way];
    alarm.append(way);
  }
  form.prepend(alarm);
  const box = hidden(form, doubt.box);
  if (box) unfold(box);
  if (box && doubt.blank) {
    const beside = document.createElement("p");
    [beside.className, beside.textContent, beside.dataset.doubt] = ["problem", doubt.words, "beside"];
    (box.closest(".box, fieldset") ?? box).append(beside);
    // Where one figure is asked after the other, this one is asked again.
    box.dispatchEvent(new Event("asked", { bubbles: true }));
  }
  alarm.scrollIntoView({ block: "nearest" });
  box?.focus();
}

/** What that button says, where it does not repeat the figures. @type {Record<string, string>} */
const YES = { another: "It is another load", again: "It is another one", vessel_empty: "I looked: it stands empty and clean" };

/** The button that says that it is so. @param {HTMLFormElement} form @param {HTMLElement | null} button @param {[string, string]} answer */
function itIsSo(form, button, [name, value]) {
  const yes = document.createElement("button");
  [yes.type, yes.className, yes.textContent] = ["button", "do plain", YES[name] ?? `Yes, it is so: ${value}`];
  yes.addEventListener("click", () => {
    const box = document.createElement("input");
    [box.type, box.name, box.value, box.dataset.doubt] = ["hidden", name, value, "said"];
    for (const old of form.querySelectorAll(`[data-doubt="said"][name="${name}"]`)) old.remove();
    form.append(box);
    form.requestSubmit(button?.isConnected && !saysRemark(button) ? button : null);
  });
  return yes;
}
