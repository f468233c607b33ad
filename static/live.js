// The page of a boil on the fire: renews the figures without touching the forms, and lets − and +
// count without a round trip. The page works without this.
(() => {
  "use strict";
  const every = 20_000;
  const live = document.getElementById("live");
  const lost = document.getElementById("lost");
  let shown = "";

  async function renew() {
    try {
      const answer = await fetch(live.dataset.from, { cache: "no-store", redirect: "error" });
      if (!answer.ok) throw new Error(String(answer.status));
      const text = await answer.text();
      // What has not changed stays, so that nothing jumps under a finger or is read out twice.
      if (text !== shown) {
        const open = [...live.querySelectorAll("details")].map((d) => d.open);
        const fresh = document.createElement("template");
        fresh.innerHTML = text;
        const [before, after] = [[...live.children], [...fresh.content.children]];
        // A probe's seconds change each time: they must not have the call beside them read out again.
        if (before.length === after.length) {
          after.forEach((part, n) => { if (part.outerHTML !== before[n].outerHTML) before[n].replaceWith(part); });
        } else {
          live.replaceChildren(...after);
        }
        live.querySelectorAll("details").forEach((d, n) => { d.open = Boolean(open[n]); });
        shown = text;
      }
      lost.hidden = true;
    } catch {
      lost.hidden = false;
    }
  }

  if (live && lost) {
    setInterval(() => { if (!document.hidden) renew(); }, every);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) renew(); });
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-by]");
    const box = button && document.getElementById(button.dataset.box);
    if (!box) return;
    const from = Number.parseFloat((box.value || box.placeholder).replace(",", "."));
    if (!Number.isFinite(from)) return;
    event.preventDefault();
    box.value = Math.max(0, from + Number.parseFloat(button.dataset.by)).toFixed(1);
  });
})();
