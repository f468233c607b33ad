// Jars that come to more syrup than the boil has, asked about before they are kept without network: by what the page knows of the
// boil, or its finish that is kept on this phone. With network the mill says it.

import { target } from "./kept-forms.js";
import { syrup, typed } from "./kept-shown.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-doubts.js").Doubt} Doubt */

/** What the units of weight are in grams (NIST Handbook 44, appendix C). @type {[RegExp, number][]} */
const GRAMS = [[/^(lbs?|pounds?)$/, 453.59237], [/^(oz|ounces?)$/, 28.349523125], [/^(kgs?|kilo(gram)?s?)$/, 1000], [/^(g|grams?)$/, 1]];
/** What is rounded to whole grams may differ by so much, g. */
const ROUNDED_G = 1;

/** A weight as it was typed, like "41.5" or "41 lb 8 oz", in grams; not a number where it cannot be read. @param {string} text @param {string} plain the unit of a bare figure */
export function gramsOf(text, plain) {
  let sum = 0;
  const rest = text.trim().toLowerCase().replace(/(\d+(?:[.,]\d+)?|[.,]\d+)\s*([a-z]*)/g, (_, figure, unit) => {
    sum += Number(figure.replace(",", ".")) * (GRAMS.find(([names]) => names.test(unit || plain))?.[1] ?? NaN);
    return "";
  });
  return text.trim() !== "" && rest.trim() === "" ? sum : NaN;
}

/** Syrup in the jars of a fill. @param {HTMLElement} sums @param {(name: string) => string} of what stands in a box */
function inJars(sums, of) {
  const sizes = /** @type {NodeListOf<HTMLElement>} */ (sums.querySelectorAll("[data-jar]"));
  const whole = [...sizes].reduce((all, size) => all + Number(of(size.dataset.jar ?? "") || 0) * Number(size.dataset.net), 0);
  const part = of("part");
  return whole + (part === "" ? 0 : gramsOf(part, sums.dataset.small ?? ""));
}

/** The syrup that was drawn off, by the newest finish that this phone knows; nought: it knows none. @param {HTMLElement} sums @param {string} finish its address @param {Entry[]} entries */
function drawnOff(sums, finish, entries) {
  const kept = entries.findLast((entry) => entry.target === finish && entry.state === "waits" && typed(entry, "syrup") !== "");
  return kept ? gramsOf(typed(kept, "syrup"), sums.dataset.small === "oz" ? "lb" : "kg") : Number(sums.dataset.syrup);
}

/**
 * Whether the jars typed into a form come to more than the boil has.
 * @param {HTMLFormElement} form @param {Entry[]} entries those that wait on this phone, and those that it sent a short while ago
 * @returns {Doubt | null}
 */
export function jarsDoubt(form, entries) {
  const sums = form.querySelector("[data-syrup]");
  if (!(sums instanceof HTMLElement)) return null;
  const to = target(form, null);
  const has = drawnOff(sums, to.replace(/fills$/, "finish"), entries);
  const box = (/** @type {string} */ name) => {
    const found = form.elements.namedItem(name);
    return found instanceof HTMLInputElement ? found.value.trim() : "";
  };
  const before = entries.filter((entry) => entry.target === to && entry.state === "waits" && !entry.sent);
  const all = before.reduce((sum, entry) => sum + inJars(sums, (name) => typed(entry, name)), Number(sums.dataset.jarred) + inJars(sums, box));
  if (!(has > 0) || !(all > has + ROUNDED_G)) return null;
  const show = (/** @type {number} */ grams) => syrup(grams, sums);
  const written = all - inJars(sums, box);
  const besides = written > 0 ? `, with ${show(written)} written before` : "";
  const counts = [...sums.querySelectorAll("[data-jar]")].map((size) => box(size.getAttribute("data-jar") ?? ""));
  const figures = [...counts, box("part")].filter(Boolean).join(" and ");
  if (form.querySelector('[data-doubt="said"][name="sure"]')?.getAttribute("value") === figures) return null;
  const words = `That comes to ${show(all)} in jars${besides}, ${show(all - has)} more than the ${show(has)} of syrup that was drawn off. Please count the jars again, or correct the finish.`;
  return { words, box: "count_1", yes: ["sure", figures] };
}
