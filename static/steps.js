// Forms of the yard on a phone: one figure at a time, with keys for wet thumbs, and at the end all figures to look
// at with one button. A form works without this: it is one plain form then.
import { away, bring, button, inSight, make } from "./keys.js";

const small = matchMedia("(max-width: 47.99rem), (max-height: 30rem)");
const form = document.querySelector("form.sheet");
/** @type {HTMLElement[]} */
const steps = form ? [...form.querySelectorAll("[data-step]")].filter((s) => s instanceof HTMLElement) : [];
let place = -1;

/** The figure box of a step, if it has one. @param {HTMLElement} step */
function figureOf(step) {
  const found = step.querySelector("input.short");
  return found instanceof HTMLInputElement ? found : null;
}

/** The choices of a step. @param {HTMLElement} step @returns {HTMLInputElement[]} */
function choicesOf(step) {
  return [...step.querySelectorAll("input[type=radio]")].filter((c) => c instanceof HTMLInputElement);
}

/** @param {HTMLElement} step */
function title(step) {
  const named = step.querySelector(".box > label, legend");
  return step.dataset.title || (named?.textContent || "").replace(/,.*/, "");
}

/** What a step holds now, in words. @param {HTMLElement} step */
function held(step) {
  const figure = figureOf(step);
  // Somebody may type the unit, too.
  if (figure?.value) return /[a-z%]\s*$/i.test(figure.value) ? figure.value.trim() : `${figure.value} ${step.dataset.unit || ""}`.trim();
  const chosen = choicesOf(step).find((c) => c.checked);
  if (!chosen) return "";
  const label = step.querySelector(`label[for="${chosen.id}"]`);
  return (label?.querySelector("strong")?.textContent || label?.firstChild?.textContent || "").trim();
}

/** @param {number} to */
function show(to) {
  if (!form) return;
  place = to;
  const last = place >= steps.length;
  form.classList.toggle("looking", last);
  steps.forEach((step, n) => { step.hidden = n !== place; });
  for (const part of form.querySelectorAll(":scope > :not([data-step]):not(input):not(.trail)")) {
    if (part instanceof HTMLElement && part.getAttribute("role") !== "alert") part.hidden = !last;
  }
  trail();
  if (last) {
    away();
    form.querySelector("button.wide")?.scrollIntoView({ block: "nearest" });
    return;
  }
  const step = steps[place];
  const figure = figureOf(step);
  if (figure) bring(figure, step, next);
  else away();
  onward(step);
  own();
  scrollTo(0, 0);
  inSight();
}

/** Without an answer there is no way on. @param {HTMLElement} step */
function onward(step) {
  const on = step.querySelector(":scope > .do.on");
  if (on instanceof HTMLElement) on.hidden = !held(step);
}

/** The turn that the address names is chosen also on a page that was kept before somebody tapped it. */
function byAddress() {
  const turn = new URLSearchParams(location.search).get("turn");
  const choices = turn === null || location.hash !== "" ? [] : form?.querySelectorAll("input[name=whose]") ?? [];
  for (const one of choices) if (one instanceof HTMLInputElement) one.checked = one.value === `turn:${turn}`;
}

/** Of tares only those of whoever is chosen, and of trailers; what is put out of sight is no answer any more. */
function own() {
  const asks = form?.querySelector("input[name=whose], input[name=member]");
  const chosen = form?.querySelector("input[name=whose]:checked");
  const found = form?.querySelector("input[name=member]:checked");
  const who = chosen instanceof HTMLElement ? chosen.dataset.member
    : found instanceof HTMLInputElement ? found.value : "";
  for (const part of asks ? form?.querySelectorAll("[data-whose]") ?? [] : []) {
    if (!(part instanceof HTMLElement)) continue;
    part.hidden = part.dataset.whose !== who;
    const answer = part.querySelector("input");
    if (part.hidden && answer) answer.checked = false;
  }
}

/** The figures so far, each a way back to it; at the end the net weight, large. */
function trail() {
  const line = form?.querySelector(".trail");
  if (!line) return;
  line.replaceChildren();
  steps.forEach((step, n) => {
    const is = held(step);
    // At the end also what is wanting is a way back.
    const words = is || (place >= steps.length ? "?" : "");
    if (n < place && words) line.append(button("past", `${title(step)}: ${words}`, () => show(n)));
  });
  const [gross, tare] = ["gross", "tare"].map((name) => {
    const found = form?.querySelector(`[data-step=${name}]`);
    return found instanceof HTMLElement ? found : null;
  });
  if (place < steps.length || !gross || !tare) return;
  const unit = gross.dataset.unit || "";
  const [a, b] = [number(figureOf(gross)?.value), tareOf(tare)];
  if (a === null || b === null) return;
  line.append(make("p", "net", `${a} − ${b} = ${Number((a - b).toFixed(3))} ${unit} net`));
}

/** @param {string | undefined} text */
function number(text) {
  const read = Number((text || "").trim().replace(/\s*(lbs?|pounds?|kgs?|kilos?)$/i, "").replace(",", "."));
  return text && Number.isFinite(read) ? read : null;
}

/** @param {HTMLElement} step */
function tareOf(step) {
  const typed = number(figureOf(step)?.value);
  if (typed !== null) return typed;
  const known = choicesOf(step).find((c) => c.checked);
  return known ? number(known.value.split("|")[0]) : null;
}

/** Says why there is no way on yet. @param {HTMLElement} step */
function wanting(step) {
  if (step.querySelector(".wanting")) return;
  const said = make("p", "problem wanting", `${title(step)}: please type it first.`);
  said.setAttribute("role", "alert");
  (step.querySelector(".box") ?? step).append(said);
  step.addEventListener("input", () => said.remove(), { once: true });
}

function next() {
  if (place < steps.length) {
    const step = steps[place];
    const figure = figureOf(step);
    if (!held(step)) {
      wanting(step);
      figure?.focus();
      return;
    }
    show(place + 1);
  }
}

/** What an amount is measured in follows from how it was measured. @param {Event} event */
function measured({ target }) {
  const step = form?.querySelector('[data-step="amount"]');
  if (!(step instanceof HTMLElement) || !(target instanceof HTMLInputElement) || target.name !== "kind") return;
  step.dataset.unit = step.dataset[target.value] ?? step.dataset.unit;
}

/** A tap on a choice is the answer. @param {Event} event */
function chosen(event) {
  const at = event.target;
  if (!(at instanceof HTMLInputElement) || at.type !== "radio" || place >= steps.length) return;
  const figure = figureOf(steps[place]);
  if (figure && steps[place].contains(at)) figure.value = "";
  next();
}

function begin() {
  if (!form || steps.length === 0) return;
  byAddress();
  form.addEventListener("change", measured);
  // What is put right is looked at as a whole.
  if (!small.matches || form.querySelector(".problem, [name=seen]")) {
    form.addEventListener("change", own);
    form.addEventListener("reset", () => setTimeout(own));
    own();
    // What is asked back is answered by one tap.
    const answer = form.querySelector("button[name=sure]");
    if (answer instanceof HTMLElement && form.querySelector(".problem")) answer.scrollIntoView({ block: "center" });
    return;
  }
  document.body.classList.add("stepping");
  const line = make("div", "trail", "");
  line.setAttribute("aria-live", "polite");
  form.prepend(line);
  form.addEventListener("change", chosen);
  form.addEventListener("input", (event) => {
    // What is typed stands for what was tapped.
    if (event.target instanceof HTMLInputElement && event.target.matches("input.short") && place < steps.length) {
      for (const choice of choicesOf(steps[place])) choice.checked = false;
    }
  });
  for (const step of steps) {
    if (!figureOf(step)) {
      const more = button("do plain on", "Next", next);
      step.append(more);
    }
  }
  // Kept on the phone, the form is emptied for the next: that starts with the first question again.
  form.addEventListener("reset", () => setTimeout(() => show(0)));
  // Filled in again to be changed, all figures are looked at.
  form.addEventListener("filled", () => show(steps.length));
  // What is wanting is asked again.
  form.addEventListener("asked", (event) => {
    const at = steps.findIndex((step) => event.target instanceof Node && step.contains(event.target));
    if (at >= 0) show(at);
  });
  const first = steps.findIndex((step) => !held(step));
  show(first < 0 ? steps.length : first);
}

begin();
