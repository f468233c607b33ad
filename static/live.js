// The page of a boil on the fire: renews its figures, counts down to the next reading, and calls. It works without this.
(() => {
  "use strict";
  const RENEW_MS = 20_000;
  /** A reading so long overdue is an alarm of itself, also without network: the fire goes on. The mill has it so. */
  const LATE_MS = 120_000;
  /** A renewal that has not come by then does not come, ms. */
  const ANSWER_MS = 6_000;
  const live = document.getElementById("live");
  const lost = document.getElementById("lost");
  const soundButton = document.getElementById("sound");
  // What was called stands before the title, and is no part of it.
  const served = live?.querySelector(".call strong")?.textContent;
  const title = document.title.startsWith(`${served} – `) ? document.title.slice(`${served} – `.length) : document.title;
  /** @type {AudioContext | null} */
  let audio = null;
  /** @type {WakeLockSentinel | null} */
  let awake = null;
  let shown = "";
  // A page out of the phone's own store is old from the start.
  const seen = Number(document.body.dataset.seen || 0) * 1000;
  let isLost = seen > 0;
  let renewedAt = seen || Date.now();
  /** Until then it waits for what is kept beside it, ms: so long from here on. */
  const KNOWN_BY = seen && performance.now() + 10_000;
  // Renewals asked for, and the newest that ended.
  let asked = 0;
  let ended = 0;
  let rang = 0;

  const callPart = () => /** @type {HTMLElement | null} */ (live && live.querySelector("[data-weight]"));

  /** What calls for nothing; `kept`: what is kept on this phone has a say in it. */
  const NOTHING = { weight: "", words: "", quiet: true, nextAt: 0, nextWords: "", firm: false, kept: false, go: "" };

  /** What is called just now, from the attributes of the call, be a reading overdue or not. @param {HTMLElement} call */
  function called(call) {
    // The mill's clock counts.
    const ahead = Number(call.dataset.now || 0) * 1000 - renewedAt;
    // Nought: no reading is due, as once the fire is drawn.
    const next = Number(call.dataset.next || 0) * 1000;
    const { weight = "", words = "", quiet } = call.dataset;
    const says = { ...NOTHING, weight, words, quiet: quiet === "yes", nextAt: next && next - ahead };
    // What is kept on this phone: see kept-pan.js. It counts from its tap, whatever the page knows of the network.
    const kept = JSON.parse(document.body.dataset.kept || "{}");
    if (!isLost && !kept.until && !kept.holds) return says;
    // Without network: what the mill said that time alone would bring by now.
    /** @type {[number, string, string][]} */
    const steps = JSON.parse(call.dataset.ahead || "[]");
    const come = steps.filter(([from]) => from * 1000 <= Date.now() + ahead).pop();
    const now = come ? { ...says, weight: come[1], words: come[2], quiet: says.quiet && come[1] !== "alarm" } : says;
    // A figure at the mark holds its alarm until another is noted: time makes it no calmer.
    const held = kept.holds ? { ...kept.holds, weight: "alarm", words: Date.now() >= kept.next ? kept.holds.late : kept.holds.words, quiet: false, kept: true } : {};
    if (!kept.until) return { ...now, ...held };
    const then = { ...now, nextAt: kept.next ?? now.nextAt, nextWords: kept.nextWords, kept: true, ...held };
    // What was read since an alarm came leaves the refractometer called for, in words as in colour.
    const less = kept.holds || kept.stays || now.weight !== "alarm" ? {} : { weight: "note", words: "Check with the refractometer" };
    return Date.now() < kept.until ? { ...then, ...less, quiet: true, firm: true, ...kept.says } : then;
  }

  /** The one state that sets words, colour, title and sound: the call, or that a reading is long overdue. @param {HTMLElement} call */
  function state(call) {
    // A page out of the phone's own store calls nothing before it is known what is kept: see kept-pan.js.
    if (!document.body.dataset.known && performance.now() < KNOWN_BY) return { ...NOTHING, words: "Reading what this phone keeps", go: "…", left: 0 };
    const says = called(call);
    const left = says.nextAt - Date.now();
    if (says.nextAt === 0 || left >= -LATE_MS || says.weight === "alarm") return { ...says, left };
    // Quieted before it was overdue, it is not quiet now.
    const was = Number(call.dataset.now) - Number(call.dataset.next) > LATE_MS / 1000;
    const words = says.weight === "" ? call.dataset.late : call.dataset.lateNote;
    return { ...says, left, weight: "alarm", words: words || says.words, quiet: says.quiet && (says.firm || was) };
  }

  /** Says that the figures are old, and how old; what time alone has brought since stands where the call stands. */
  function sayLost() {
    if (!lost || !isLost) return;
    const minutes = Math.floor((Date.now() - renewedAt) / 60_000);
    const age = minutes < 1 ? "just now" : `${minutes} min ago`;
    const text = `No connection: these figures are as they were. That was ${age}; the call below goes on by time alone${document.body.dataset.kept ? ", and by what is kept here" : ""}.`;
    if (lost.textContent !== text) lost.textContent = text;
  }

  /** As the mill writes it: "1 h 5 min", "26 min". @param {number} ms */
  function inMinutes(ms) {
    const all = Math.floor(ms / 60_000);
    const [hours, minutes] = [Math.floor(all / 60), all % 60];
    if (all < 1) return "Due: read it";
    return [hours > 0 ? `${hours} h` : "", minutes > 0 ? `${minutes} min` : ""].filter(Boolean).join(" ");
  }

  /** One call only: the one of this moment, set as loud as it is. @param {HTMLElement} call @param {{ weight: string, words: string, nextAt: number, kept: boolean, go: string }} says */
  function showCall(call, says) {
    const words = call.querySelector("strong");
    if (!words) return;
    const look = `call ${says.weight}`;
    if (call.className !== look) call.className = look;
    if (words.textContent !== says.words) words.textContent = says.words;
    // What was to go when the page was seen is gone by.
    const go = document.querySelector("#live .beside > :first-child .big");
    if (!(go instanceof HTMLElement)) return;
    go.dataset.was ??= go.textContent ?? "";
    // A finish that lies past is no time to go, whatever was read since.
    const end = Number(go.dataset.finish || 0) * 1000;
    const toGo = end - (Date.now() + Number(call.dataset.now || 0) * 1000 - renewedAt);
    const isPast = end > 0 && toGo <= 0;
    const isDrawn = Number(call.dataset.next || 0) > 0 && says.nextAt === 0;
    const now = says.go || (isDrawn ? "The fire is drawn" : "Now: read it");
    const here = isLost || says.kept;
    const counted = here && end > 0 ? inMinutes(toGo) : go.dataset.was;
    const left = here && (isDrawn || isPast || says.weight === "alarm") ? now : counted;
    if (go.textContent !== left) go.textContent = left;
  }

  async function renew() {
    if (!(live instanceof HTMLElement) || !lost) return;
    const mine = ++asked;
    const askedAt = Date.now();
    try {
      const answer = await fetch(live.dataset.from || "", { cache: "no-store", redirect: "error", signal: AbortSignal.timeout?.(ANSWER_MS) });
      if (!answer.ok) throw new Error(String(answer.status));
      const text = await answer.text();
      if (mine < ended) return;
      ended = mine;
      renewedAt = Date.now();
      // What has not changed stays: nothing jumps under a finger or is read out twice.
      if (text !== shown) {
        const fresh = new DOMParser().parseFromString(text, "text/html");
        for (const id of ["live", "live-rest"]) {
          const here = document.getElementById(id);
          const there = fresh.getElementById(id);
          if (!here || !there) continue;
          const open = [...here.querySelectorAll("details")].map((d) => d.open);
          const [before, after] = [[...here.children], [...there.children]];
          // A probe's seconds change each time: they must not have the call beside them read out again.
          if (before.length === after.length) {
            after.forEach((part, n) => { if (part.outerHTML !== before[n].outerHTML) before[n].replaceWith(part); });
          } else {
            here.replaceChildren(...after);
          }
          here.querySelectorAll("details").forEach((d, n) => { d.open = Boolean(open[n]); });
        }
        shown = text;
      }
      isLost = false;
      // What was kept here counts until the mill's own word of it is here: see kept-pan.js.
      const { keptWent } = document.body.dataset;
      if (keptWent && askedAt >= Number(keptWent)) for (const name of ["kept", "keptWent"]) delete document.body.dataset[name];
    } catch {
      if (mine < ended) return;
      ended = mine;
      isLost = true;
    }
    lost.hidden = !isLost;
    look();
  }

  /** @param {number} ms */
  function words(ms) {
    const seconds = Math.round(Math.abs(ms) / 1000);
    const minutes = Math.floor(seconds / 60);
    const text = minutes >= 10 ? `${minutes} min` : `${minutes}:${String(seconds % 60).padStart(2, "0")} min`;
    return ms >= 0 ? `in ${text}` : `${text} overdue`;
  }

  /** Three short tones for an alarm, one for a note. @param {number} times */
  function ring(times) {
    // A phone that nobody has tapped yet refuses to vibrate, and complains.
    const tapped = !navigator.userActivation || navigator.userActivation.hasBeenActive;
    if (tapped && navigator.vibrate) navigator.vibrate(times > 1 ? [400, 200, 400, 200, 400] : [200]);
    if (!audio) return;
    for (let n = 0; n < times; n += 1) {
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      tone.frequency.value = 880;
      loud.gain.value = 0.4;
      tone.connect(loud).connect(audio.destination);
      tone.start(audio.currentTime + n * 0.6);
      tone.stop(audio.currentTime + n * 0.6 + 0.35);
    }
  }

  /** When the next reading is due: by what is kept here, else by the mill's own words. @param {HTMLElement} due @param {string} kept */
  function sayDue(due, kept) {
    const was = due.dataset.was ??= due.textContent ?? "";
    const says = kept || was;
    if (due.textContent !== says) due.textContent = says;
    if (!kept) delete due.dataset.was;
  }

  /** Once a second: the countdown, the title, and whether to call. */
  function look() {
    sayLost();
    const call = callPart();
    if (!call) return;
    const says = state(call);
    showCall(call, says);
    // What grows old besides: see kept-pan.js.
    [document.body.dataset.renewed, document.body.dataset.lost] = [`${renewedAt}`, isLost ? "yes" : ""];
    const countdown = document.getElementById("countdown");
    if (countdown && (says.nextAt > 0 || isLost)) countdown.textContent = says.nextAt > 0 ? words(says.left) : "";
    const due = document.querySelector("#live .next strong");
    if (due instanceof HTMLElement) sayDue(due, says.nextWords);
    document.body.dataset.weight = says.weight;
    document.title = says.weight === "" ? title : `${says.words} – ${title}`;
    const every = says.weight === "alarm" ? 10_000 : 60_000;
    if (says.weight !== "" && !says.quiet && Date.now() - rang >= every) {
      rang = Date.now();
      ring(says.weight === "alarm" ? 3 : 1);
    }
  }

  /** Sound that this phone was told to make goes on after each reading; a browser that wants a tap first gets the next. */
  function hear() {
    audio = audio || new AudioContext();
    audio.resume();
    if (soundButton) soundButton.textContent = "Sound is on: try it again";
  }

  async function stayAwake() {
    try {
      if ("wakeLock" in navigator && !awake) {
        awake = await navigator.wakeLock.request("screen");
        awake.addEventListener("release", () => { awake = null; });
      }
    } catch {
      // Low battery or an old phone: the screen goes dark as it always did.
    }
  }

  // − and + count without a round trip.
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("button[data-by]") : null;
    const box = button instanceof HTMLElement && document.getElementById(button.dataset.box || "");
    if (!(button instanceof HTMLElement) || !(box instanceof HTMLInputElement)) return;
    const from = Number.parseFloat((box.value || box.placeholder).replace(",", "."));
    if (!Number.isFinite(from)) return;
    event.preventDefault();
    box.value = Math.max(0, from + Number.parseFloat(button.dataset.by || "0")).toFixed(1);
    box.dispatchEvent(new Event("input", { bubbles: true }));
  });

  if (live && lost) {
    lost.hidden = !isLost;
    if (soundButton) {
      soundButton.hidden = false;
      // A browser plays sound only after a tap: this tap, which is also the trial.
      soundButton.addEventListener("click", () => {
        hear();
        sessionStorage.setItem("sound", "on");
        ring(1);
        stayAwake();
      });
      if (sessionStorage.getItem("sound")) {
        hear();
        document.addEventListener("pointerdown", hear);
      }
    }
    setInterval(() => { if (!document.hidden) renew(); }, RENEW_MS);
    setInterval(look, 1000);
    document.addEventListener("known", look);
    // What was kept has gone to the mill: its word of it is asked for at once.
    document.addEventListener("went", () => {
      // What this page has changed is written anew, be the answer as before or not.
      shown = "";
      renew();
    });
    // The mill was reached by what this page sends: it is not lost any more.
    document.addEventListener("reached", () => { if (isLost) renew(); });
    document.addEventListener("visibilitychange", () => {
      if (document.hidden) return;
      renew();
      stayAwake();
    });
    stayAwake();
    look();
  }
})();
