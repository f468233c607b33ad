// A tap that this phone cannot keep: it goes straight to the mill. What was typed stays in its boxes until the mill has answered,
// since a page that is left before that may come back empty.

import { hidden, reason, sendPlainly } from "./kept-forms.js";
import { showWarning } from "./kept-line.js";

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-send.js").Net} Net */

/** After how long it is said that the tap is on its way, ms. */
const SLOW_MS = 700;
const AGAIN = "send it again when there is network";

/**
 * Where a tap goes.
 * @typedef {object} Way
 * @property {HTMLElement} line where it is said how things stand
 * @property {string} words why nothing is kept
 * @property {Net} net
 * @property {() => Promise<void>} before sends what was tapped before
 * @property {boolean} fresh whether the page came from the mill just now
 */

/**
 * Sends an entry that was not kept, under its own key: sent again it is done once.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} entry @param {Way} way
 * @returns {Promise<string>} where to go on to; empty: the page stays, and says why, or is being left
 */
export async function sendStraight(form, button, entry, way) {
  const slow = setTimeout(() => showWarning(way.line, `${way.words} It is on its way to the mill.`), SLOW_MS);
  await way.before();
  const here = await way.net.ask();
  const posted = here && (entry.by !== "" || !way.fresh) ? way.net.post({ ...entry, ahead: entry.ahead ?? aheadOf(here, way.net) }) : null;
  const answer = await posted;
  clearTimeout(slow);
  if (answer?.status === 201) return answer.to;
  // Nobody is picked at the station: the mill asks who it is.
  if (here && !posted && hidden(form, "form_key")?.dataset.first === undefined) return plainly(form, button);
  const stays = (/** @type {string} */ then) => {
    showWarning(way.line, `${way.words} What you typed stands here still: ${then}.`);
    return "";
  };
  if (!answer) return stays(here && !posted ? "pick who stands here in another tab, then send it" : AGAIN);
  if (answer.status === 401) return stays("sign in again in another tab, then send it");
  const back = { ...entry, answer: answer.page, status: answer.status };
  // The form came back, or it is a button without anything typed: the mill's own page is looked at.
  if (answer.page.includes(entry.key) || !form.matches(".sheet")) return plainly(form, button, back);
  return stays(`the mill did not take it. ${reason(back).replace(/\.$/, "")}`);
}

/** How far this phone's clock is ahead of the mill's, seconds. @param {import("./kept-send.js").Here} here @param {Net} net */
const aheadOf = (here, net) => Math.round(net.clock() / 1000 - here.at - 0.5);

/** @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Entry} [back] */
function plainly(form, button, back) {
  sendPlainly(form, button, back);
  return "";
}
