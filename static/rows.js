// Rows that are keyed in from paper, kept on this device until the mill has them: an evening's figures are not typed a second time
// because the network went. Each row has a key of its own, so that what went and was not answered is not written twice.

/** What was typed, box by box, and who typed it. @typedef {{ by: string, boxes: [string, string][] }} Typed */

/** Where it is kept: each page of rows by itself. */
const SHELF = `canewright-rows ${location.pathname}`;

const rowsForm = () => document.querySelector("fieldset.row")?.closest("form") ?? null;
const who = () => document.getElementById("kept")?.dataset.member ?? "";

/** The boxes of a row, with the one that no hand fills. @param {HTMLFormElement} form */
const boxes = (form) => [...form.elements].filter((box) => box instanceof HTMLInputElement || box instanceof HTMLSelectElement)
  .filter((box) => /^r\d+-/.test(box.name));

/** @param {HTMLInputElement | HTMLSelectElement} box */
const isTick = (box) => box instanceof HTMLInputElement && box.type === "checkbox";

/** What a box holds; nothing where it is a tick that is not set. @param {HTMLInputElement | HTMLSelectElement} box */
const held = (box) => (isTick(box) && !(/** @type {HTMLInputElement} */ (box).checked) ? "" : box.value);

/** What stood in the boxes when the page was opened, as the mill's only scale. @type {Map<string, string>} */
const preset = new Map();

/** Whether somebody typed something into one of them. @param {HTMLFormElement} form */
const isTyped = (form) => boxes(form).some((box) => box.type !== "hidden" && held(box) !== "" && held(box) !== preset.get(box.name));

function keep() {
  const form = rowsForm();
  if (!form) return;
  try {
    if (!isTyped(form)) return localStorage.removeItem(SHELF);
    const all = boxes(form).filter((box) => held(box) !== "");
    /** @type {Typed} */
    const typed = { by: who(), boxes: all.map((box) => [box.name, box.value]) };
    localStorage.setItem(SHELF, JSON.stringify(typed));
  } catch {
    // A private window keeps nothing: the rows stand on this page only.
  }
}

/** @returns {Typed | null} */
function kept() {
  try {
    return JSON.parse(localStorage.getItem(SHELF) ?? "null");
  } catch {
    return null;
  }
}

/** Says something at the head of the rows. @param {string} words @param {string} looks */
function say(words, looks) {
  document.getElementById("rows-say")?.remove();
  const note = document.createElement("div");
  [note.id, note.className, note.tabIndex] = ["rows-say", looks, -1];
  note.setAttribute("role", looks === "alarm" ? "alert" : "status");
  note.append(Object.assign(document.createElement("p"), { textContent: words }));
  rowsForm()?.before(note);
  note.focus();
  note.scrollIntoView({ block: "nearest" });
  return note;
}

/** Puts what was typed and never taken into the empty rows again. */
function bringBack() {
  const [form, typed] = [rowsForm(), kept()];
  if (!form) return;
  for (const box of boxes(form)) preset.set(box.name, held(box));
  if (!typed || typed.by !== who()) return;
  const done = new Set(typed.boxes.filter(([name]) => name.endsWith("-done")).map(([name]) => name.replace("done", "")));
  for (const [name, value] of typed.boxes) {
    const box = boxes(form).find((one) => one.name === name);
    if (!box || done.has(name.replace(/-.*/, "-"))) continue;
    if (isTick(box)) /** @type {HTMLInputElement} */ (box).checked = true;
    else box.value = value;
  }
  if (!isTyped(form)) return;
  const note = say("What was typed here and is not in the book, as far as this device knows, stands in the rows again.", "note");
  const away = Object.assign(document.createElement("button"), { type: "button", className: "do plain", textContent: "Empty the rows" });
  away.addEventListener("click", () => {
    if (!away.dataset.sure) return void ([away.dataset.sure, away.textContent] = ["yes", "Really empty them"]);
    try { localStorage.removeItem(SHELF); } catch { /* it kept nothing */ }
    location.assign(location.pathname);
  });
  note.append(away);
}

/** Shows the rows that came back from the mill. @param {string} html @returns {boolean} */
function shows(html) {
  const page = new DOMParser().parseFromString(html, "text/html").querySelector("main");
  if (!page?.querySelector("fieldset.row")) return false;
  document.querySelector("main")?.replaceWith(document.adoptNode(page));
  keep();
  scrollTo(0, 0);
  const first = page.querySelector("[autofocus], [aria-invalid]");
  if (first instanceof HTMLElement) first.focus();
  return true;
}

/** How long an answer is waited for, ms. */
const ANSWER_MS = 60_000;

/** @param {HTMLFormElement} form */
async function send(form) {
  keep();
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string") body.append(name, value);
  let answer;
  let page = "";
  try {
    answer = await fetch(form.action, { method: "POST", body, signal: AbortSignal.timeout?.(ANSWER_MS) });
    page = await answer.text();
  } catch {
    return say("The mill did not answer. Your rows stand here still, and on this device. Send them again when there is network: a row that reached the mill already is not written twice.", "alarm");
  }
  if (answer.ok && answer.redirected && new URL(answer.url).pathname === location.pathname) {
    try { localStorage.removeItem(SHELF); } catch { /* it kept nothing */ }
    return location.assign(answer.url);
  }
  if (answer.redirected || answer.status === 401) return say("You are not signed in any more. Your rows stand here still, and on this device. Sign in in another tab, then open this page again.", "alarm");
  if (!shows(page)) say(`The mill did not take the rows (${answer.status}). They stand here still, and on this device. Try it again in a while.`, "alarm");
}

let busy = false;
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form !== rowsForm()) return;
  event.preventDefault();
  if (busy) return;
  busy = true;
  send(form).finally(() => { busy = false; });
});
for (const kind of ["input", "change"]) {
  document.addEventListener(kind, ({ target }) => { if (target instanceof Element && target.closest("fieldset.row")) keep(); });
}
bringBack();
