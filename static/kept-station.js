// The mill's own station without network: a PIN cannot be checked then, so an entry is written under whoever was picked last
// only as long as the mill itself would keep them picked; after that, or when somebody else says so, it waits for a name.

/** @typedef {import("./kept-store.js").Entry} Entry */
/** @typedef {import("./kept-store.js").Store} Store */
/** @typedef {{ member: string, name: string }} Who */
/** @typedef {Who & { at: number, picked: Who }} Stands */

/** Whoever has not said who it is. @type {Who} */
export const NO_NAME = { member: "", name: "no name yet" };

/** Whether this browser is the mill's station. @param {HTMLElement} line */
export const isStation = (line) => line.dataset.picked !== undefined;

/** Who is picked by the page. @param {HTMLElement} line @returns {Who} */
const ofPage = (line) => ({ member: line.dataset.member ?? "", name: line.dataset.name ?? "" });

/** Notes that somebody is picked: a page came from the mill just now and says so. @param {Store} store @param {HTMLElement} line */
export async function notePicked(store, line) {
  const who = ofPage(line);
  await store.note("stands", { ...who, at: Date.now(), picked: who });
}

/**
 * Under whom an entry is written that is tapped now.
 * @param {Store} store @param {HTMLElement} line
 * @returns {Promise<Who>}
 */
export async function whoStands(store, line) {
  if (!isStation(line)) return ofPage(line);
  /** @type {Stands | undefined} */
  const stands = await store.fact("stands");
  const fresh = stands && Date.now() - stands.at < Number(line.dataset.picked) * 1000;
  return fresh ? { member: stands.member, name: stands.name } : NO_NAME;
}

/** Says who stands here from now on: whoever was picked last, or somebody else. @param {Store} store @param {boolean} same */
export async function noteStands(store, same) {
  /** @type {Stands | undefined} */
  const stands = await store.fact("stands");
  const picked = stands?.picked ?? NO_NAME;
  await store.note("stands", { ...(same ? picked : NO_NAME), at: Date.now(), picked });
}

/** Each tap shows that whoever is picked stands here still, as it does at the mill. @param {Store} store @param {Who} who */
export async function noteUse(store, who) {
  /** @type {Stands | undefined} */
  const stands = await store.fact("stands");
  if (stands && who.member !== "") await store.note("stands", { ...stands, at: Date.now() });
}

/**
 * Says without network under whom the next entry is written, with the ways to say otherwise.
 * @param {Store} store @param {HTMLElement} line @param {boolean} away @param {() => Promise<void>} then
 */
export async function showStands(store, line, away, then) {
  if (!isStation(line)) return;
  const who = await whoStands(store, line);
  /** @type {Stands | undefined} */
  const stands = await store.fact("stands");
  const picked = stands?.picked.name ?? "";
  const band = document.querySelector(".stands strong");
  if (band && away) band.textContent = who.member === "" ? "Somebody without a name yet" : who.name;
  const old = document.getElementById("stands");
  const shown = away ? `${who.name} ${picked}` : "";
  if ((old?.dataset.shown ?? "") === shown) return;
  old?.remove();
  if (!away) return;
  const made = document.createElement("div");
  [made.id, made.className, made.dataset.shown] = ["stands", "kept waits noprint", shown];
  const words = document.createElement("p");
  words.textContent = who.member === ""
    ? "No network: what is typed now waits for a name. Whoever it was picks their name with the PIN when there is network, then taps “It was me”."
    : `No network: what is typed now is written under ${who.name}.`;
  /** @param {string} said @param {boolean} same */
  const button = (said, same) => {
    const one = document.createElement("button");
    [one.type, one.className, one.textContent] = ["button", "do plain", said];
    one.addEventListener("click", () => noteStands(store, same).then(then));
    return one;
  };
  const way = document.createElement("p");
  way.append(who.member === "" && picked !== "" ? button(`${picked} stands here`, true) : button("Somebody else stands here", false));
  made.append(words, way);
  line.after(made);
}
