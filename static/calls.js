// The page of calls to make: a button beside each text copies it, for a text message. The page works
// without this: the text can be selected.
(() => {
  "use strict";
  if (!navigator.clipboard) return;
  /** @type {NodeListOf<HTMLButtonElement>} */
  const buttons = document.querySelectorAll("button[data-copies]");
  for (const button of buttons) {
    const text = document.getElementById(button.dataset.copies ?? "");
    if (!text) continue;
    button.hidden = false;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(text.textContent.trim());
        button.textContent = "Copied";
      } catch {
        button.textContent = "Not copied: select the words";
      }
    });
  }
})();
