// A light or a dark look is chosen at once, with and without network, and nothing typed is lost for it. The buttons work
// without this: then the page is loaded anew.

const NAME = "canewright-look";
/** How long a browser keeps its look, seconds. */
const KEPT_S = 400 * 86_400;

/** @param {string} look "light", "dark", or empty: as the system has it */
function show(look) {
  if (look === "") delete document.documentElement.dataset.look;
  else document.documentElement.dataset.look = look;
}

/** @param {string} look */
function keep(look) {
  const safe = location.protocol === "https:" ? "; Secure" : "";
  document.cookie = `${NAME}=${look || "system"}; Path=/; Max-Age=${KEPT_S}; SameSite=Lax${safe}`;
}

// A page out of the phone's own store has the look of when it was kept.
const chosen = document.cookie.match(/(?:^|; )canewright-look=(light|dark|system)/)?.[1];
if (document.body.dataset.seen && chosen) show(chosen.replace("system", ""));

// What one looks for in a list is a form of the same class.
for (const form of document.querySelectorAll('form.look[method="post"]')) {
  form.addEventListener("submit", (event) => {
    const button = /** @type {SubmitEvent} */ (event).submitter;
    if (!(form instanceof HTMLFormElement) || !(button instanceof HTMLButtonElement)) return;
    event.preventDefault();
    show(button.value);
    keep(button.value);
    // The mill's own word lasts longer than a script's in some browsers.
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form, button)) body.append(name, String(value));
    fetch(form.action, { method: "POST", body, redirect: "manual" }).catch(() => {});
  });
}
