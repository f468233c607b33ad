// The page where somebody signs in, or is picked at the mill's station: what waits on this phone, and who made it. Sends nothing, and
// changes nothing; the page works without this.

import { openStore } from "./kept-store.js";

/** @typedef {import("./kept-store.js").Entry} Entry */

const note = document.getElementById("waiting");
/** Whether this is the mill's station: there people are picked, they do not sign in. */
const picked = note?.dataset.how === "pick";

/** Whoever made entries, as a part of a sentence. @param {string} name */
function person(name) {
  const made = document.createElement("bdi");
  made.textContent = name;
  return made;
}

/**
 * What is said of what waits: an entry goes only under the person who made it.
 * @param {Entry[]} waits
 * @returns {(string | Node)[]}
 */
function words(waits) {
  const [n, at] = [waits.length, picked ? "station" : "phone"];
  const begin = n === 1 ? `1 entry waits on this ${at}` : `${n} entries wait on this ${at}`;
  const [goes, stays] = n === 1 ? ["it goes", "it stays"] : ["they go", "they stay"];
  const [way, others] = picked ? ["Pick your name", "while somebody else stands here"] : ["Sign in", "signed in as somebody else"];
  const named = waits.filter((entry) => entry.by !== "");
  const makers = [...new Map(named.map((entry) => [entry.by, entry.byName]))];
  const [first] = makers;
  const nameless = n - named.length;
  const claim = "whoever it was taps “It was me” after that";
  if (!first) return [`${begin} without a name. ${way}: ${claim}.`];
  if (makers.length === 1 && nameless === 0) {
    return [`${begin}, made by `, person(first[1]), `. ${way} and ${goes}; ${others}, ${stays} here.`];
  }
  const parts = makers.flatMap(([by, name], at) => [`${at === 0 ? "" : ", "}${named.filter((entry) => entry.by === by).length} by `, person(name)]);
  const without = nameless > 0 ? `, ${nameless} without a name (${claim})` : "";
  return [`${begin}: `, ...parts, `${without}. ${way} and yours go; what somebody else made stays here for them.`];
}

async function show() {
  // Where nothing was ever kept, no store is made.
  if (!note || !("indexedDB" in self)) return;
  const known = await indexedDB.databases?.();
  if (known && !known.some((one) => one.name === "canewright")) return;
  const all = await (await openStore()).all();
  const waits = all.filter((entry) => entry.state === "waits");
  const back = all.length - waits.length;
  /** @type {(string | Node)[]} */
  const said = waits.length > 0 ? words(waits) : [];
  if (back > 0) said.push(`${said.length > 0 ? " " : ""}${back === 1 ? "1 entry came back from the mill and has" : `${back} entries came back from the mill and have`} to be put right.`);
  if (said.length === 0) return;
  note.replaceChildren(...said);
  note.hidden = false;
}

show().catch(() => {
  // A browser that lets nothing be kept has nothing that waits.
});
