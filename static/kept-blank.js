// What a form of the yard cannot be without, and figures that nobody can read: said before the form is kept without network,
// while the trailer still stands on the scale. With network the mill says it.

import { beyond } from "./kept-forms.js";

/** @typedef {import("./kept-doubts.js").Doubt} Doubt */

/** The units that may be typed behind a figure, as the mill reads them. */
const UNIT = "(?:°?\\s?(?:f|c|bx)|%|lbs?|pounds?|oz|ounces?|kgs?|kilo(?:gram)?s?|g|grams?|gal|gallons?|qts?|quarts?|pt|pints?|fl\\.? ?oz|ml|l|lit(?:re|er)s?)";
const FIGURE = "[-−]?(?:\\d[\\d.,]*|[.,]\\d+)";
/** One figure or several, each with its unit or none: "41.5", "41 lb 8 oz". */
const READS = new RegExp(`^(?:${FIGURE}\\s*${UNIT}?(?:\\s+|$))+$`, "i");

/** The words above a box, or above a row of buttons. @param {Element} box */
function named(box) {
  const row = box instanceof HTMLInputElement && ["radio", "checkbox"].includes(box.type) ? box.closest("fieldset")?.querySelector("legend") : null;
  const label = box instanceof HTMLInputElement || box instanceof HTMLTextAreaElement || box instanceof HTMLSelectElement ? box.labels?.[0] : null;
  return ((row ?? label)?.textContent ?? "").trim().replace(/, .*/, "");
}

/** The boxes of a name; one that ends in a star: all that begin so. @param {HTMLFormElement} form @param {string} name */
function boxesOf(form, name) {
  const begins = name.endsWith("*") ? name.slice(0, -1) : null;
  return [...form.elements].filter((box) => {
    const own = box.getAttribute("name") ?? "";
    return begins === null ? own === name : own.startsWith(begins);
  });
}

/** @param {Element} box */
function filled(box) {
  if (box instanceof HTMLInputElement && ["radio", "checkbox"].includes(box.type)) return box.checked;
  if (box instanceof HTMLButtonElement) return false;
  return (box instanceof HTMLInputElement || box instanceof HTMLTextAreaElement || box instanceof HTMLSelectElement) && box.value.trim() !== "";
}

/** What is missing in a form. @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped @returns {Doubt | null} */
function missing(form, button) {
  const tapped = button instanceof HTMLButtonElement ? button.name : "";
  for (const either of (form.dataset.needs ?? "").split(" ").filter(Boolean)) {
    const names = either.split("|");
    const boxes = names.flatMap((name) => boxesOf(form, name));
    if (boxes.length === 0 || boxes.some(filled) || (tapped !== "" && names.includes(tapped))) continue;
    // A tick that crosses all of it out is no box to fill in.
    const typed = boxes.filter((box) => !(box instanceof HTMLButtonElement) && !(names.length > 1 && box instanceof HTMLInputElement && box.type === "checkbox"));
    const asked = [...new Set(typed.map(named).filter(Boolean))];
    return { words: `${asked.slice(0, 3).join(" or ")}: please fill it in.`, box: boxes[0]?.getAttribute("name") ?? "", blank: true };
  }
  return null;
}

/**
 * What cannot be kept as it stands in a form: something is missing, or a figure cannot be read.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button what was tapped
 * @returns {Doubt | null}
 */
export function blankOf(form, button) {
  for (const box of form.elements) {
    // Where the page has keys of its own, the phone's are kept away.
    if (!(box instanceof HTMLInputElement) || (box.dataset.mode ?? box.inputMode) !== "decimal" || box.value.trim() === "") continue;
    if (READS.test(box.value.trim())) continue;
    return { words: `${named(box)}: “${box.value.trim()}” cannot be read as a figure. Please type it again.`, box: box.name, blank: true };
  }
  const far = beyond(form);
  return far ? { words: far.words, box: far.box.name, blank: true } : missing(form, button);
}
