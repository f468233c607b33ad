// One of many buttons is found by its first letter or by a few letters typed. The list works without this: it is long then.

/** So many fit one look: they need no finding. */
const FEW = 9;

/** What a button says, in small letters. @param {Element} one */
const words = (one) => (one.textContent ?? "").trim().toLowerCase();

/** The first letters of the words of a name. @param {Element} one */
const letters = (one) => words(one).replace(/,.*/, "").split(/[\s-]+/).map((word) => word.slice(0, 1)).filter((first) => /\p{L}/u.test(first));

/** @param {Element} list */
function finds(list) {
  const all = [...list.querySelectorAll(".picks > span")].filter((one) => one instanceof HTMLElement);
  const picks = list.querySelector(".picks");
  if (!picks || all.length <= FEW) return;

  /** Shows those that fit, and whoever is chosen. @param {(one: Element) => boolean} fits */
  const show = (fits) => {
    for (const one of all) one.hidden = !fits(one) && !one.querySelector("input")?.checked;
  };
  const box = document.createElement("div");
  box.className = "box";
  const label = document.createElement("label");
  const input = document.createElement("input");
  [input.type, input.id, label.htmlFor, label.textContent] = ["search", "find", "find", "Find by name or number"];
  input.autocomplete = "off";
  input.addEventListener("input", () => {
    const typed = input.value.trim().toLowerCase();
    show((one) => typed !== "" && words(one).includes(typed));
  });
  // The key that ends a line finds; it sends nothing.
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") event.preventDefault(); });
  box.append(label, input);

  const row = document.createElement("div");
  row.className = "letters";
  row.setAttribute("role", "group");
  row.setAttribute("aria-label", "First letter of a name");
  for (const letter of [...new Set(all.flatMap(letters))].sort((a, b) => a.localeCompare(b))) {
    const key = document.createElement("button");
    [key.type, key.className, key.textContent] = ["button", "digit", letter.toUpperCase()];
    key.addEventListener("click", () => {
      input.value = "";
      show((one) => letters(one).includes(letter));
      all.findLast((one) => !one.hidden)?.scrollIntoView({ block: "nearest" });
    });
    row.append(key);
  }
  picks.before(box, row);
  show(() => false);
  // Emptied for the next, it is looked for anew.
  list.closest("form")?.addEventListener("reset", () => setTimeout(() => show(() => false)));
}

for (const list of document.querySelectorAll("fieldset.find")) finds(list);

// A turn and somebody without a turn are never chosen both.
document.addEventListener("change", (event) => {
  const at = event.target;
  if (!(at instanceof HTMLInputElement) || at.type !== "radio" || !["whose", "member"].includes(at.name)) return;
  const other = at.name === "whose" ? "member" : "whose";
  for (const one of at.form?.querySelectorAll(`input[name=${other}]`) ?? []) if (one instanceof HTMLInputElement) one.checked = false;
}, true);
