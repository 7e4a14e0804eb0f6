// The glue-up without the server: its state stays on the phone, which sends the moment of clamping later.
"use strict";

import { word } from "./signal.js";
import { press } from "./taps.js";

(() => {
  const body = document.body, form = document.getElementById("finish"), knuckle = document.getElementById("knuckle");
  if (!form) return;
  const place = `glue-up/${body.dataset.key}`, dry = body.dataset.kind === "dry", allowed = Number(body.dataset.allowed) * 1000;
  const time = document.getElementById("time"), says = document.getElementById("says"), mute = document.getElementById("mute");
  const kept = JSON.parse(localStorage.getItem(place) || "{}");
  const keep = (change) => { Object.assign(kept, change); localStorage.setItem(place, JSON.stringify(kept)); };
  const own = (name) => document.getElementById("glue-words").content.querySelector(`[data-word="${name}"]`).textContent;
  let sound = null, silent = !window.AudioContext, beeped = "";

  for (const field of form.elements) {
    if (field.type === "hidden" || !field.name) continue;
    if (kept.typed && field.name in kept.typed) field.value = kept.typed[field.name];
  }
  form.addEventListener("input", () => {
    keep({ typed: Object.fromEntries([...form.elements].filter((f) => f.name && f.type !== "hidden" && f.type !== "radio").map((f) => [f.name, f.value])) });
  });

  // A browser allows sound only after a touch, and stops it while the phone sleeps.
  function wakeSound() {
    try {
      sound ??= new AudioContext();
      if (sound.state !== "running") sound.resume().catch(() => {});
    } catch {
      silent = true;
    }
    showSound();
  }
  function showSound() {
    const sounds = !dry && allowed && !kept.until && !kept.mute, untouched = kept.since && !sound;
    document.getElementById("heard").textContent = !sounds ? "" : silent ? own("no-sound") : untouched ? own("touch") : "";
  }
  function beep(times) {
    if (kept.mute || !sound) return;
    for (let n = 0; n < times; n += 1) {
      const tone = sound.createOscillator(), volume = sound.createGain();
      tone.frequency.value = 880;
      volume.gain.value = 0.3;
      tone.connect(volume).connect(sound.destination);
      tone.start(sound.currentTime + n * 0.35);
      tone.stop(sound.currentTime + n * 0.35 + 0.2);
    }
  }
  function showMute() {
    mute.textContent = own(kept.mute ? "sound-off" : "sound-on");
    mute.setAttribute("aria-pressed", String(Boolean(kept.mute)));
  }
  mute.addEventListener("click", () => { keep({ mute: !kept.mute }); showMute(); showSound(); });

  function clock(ms) {
    const seconds = Math.floor(Math.abs(ms) / 1000);
    return `${ms < 0 ? "−" : ""}${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }
  function tell(words) { if (says.textContent !== words) says.textContent = words; }
  function show() {
    if (!kept.since) return;
    const spent = (kept.until || Date.now()) - kept.since;
    if (kept.until && !dry) {
      knuckle.textContent = own("clamped");
      knuckle.disabled = true;
    } else {
      knuckle.textContent = own(dry ? (kept.until ? "again" : "closed") : "clamped");
    }
    if (dry || !allowed) {
      time.textContent = clock(spent);
      return;
    }
    const left = allowed - spent, state = left < 0 ? "over-time" : left < Math.max(60000, allowed / 4) ? "soon" : "";
    body.classList.toggle("soon", state === "soon");
    body.classList.toggle("over-time", state === "over-time");
    time.textContent = clock(left);
    if (kept.until) return;
    tell(own(state || "until"));
    if (state && state !== beeped && (sound || kept.mute)) { beeped = state; beep(state === "soon" ? 2 : 5); }
  }

  // The moment joins the phone's queue; whichever page is open later sends it.
  async function send() {
    document.getElementById("when").value = new Date(kept.until).toISOString();
    const outcome = await press(form);
    if (outcome?.waits) tell(word("clamped"));
  }
  document.addEventListener("taps-shown", ({ detail }) => {
    const { piece, stage } = form.dataset, begun = document.getElementById("begun");
    if (!detail.some((tap) => tap.state === "waiting" && tap.verb === "start" && tap.piece === piece && tap.stage === stage)) return;
    document.getElementById("not-begun")?.remove();
    begun.hidden = false;
  });
  document.addEventListener("tap-answered", ({ detail }) => {
    if (detail.tap.url !== new URL(form.action).pathname) return;
    if (detail.landed) {
      localStorage.removeItem(place);
      body.dataset.leaving = "yes"; // the next page asks the rest, so this one is not fetched again
      location.assign(detail.where);
    } else if (detail.refused) tell(detail.says);
  });

  knuckle.addEventListener("click", () => {
    if (!kept.since || (dry && kept.until)) {
      keep({ since: Date.now(), until: null });
    } else {
      keep({ until: Date.now() });
      if (dry) {
        const field = form.elements["measured.dry_fit_time"];
        field.value = ((kept.until - kept.since) / 60000).toFixed(1);
        field.dispatchEvent(new Event("input", { bubbles: true }));
        tell(own("taken-over"));
      }
    }
    show();
    showSound();
    if (kept.until && !dry) send();
  });
  form.addEventListener("submit", () => { if (dry) localStorage.removeItem(place); });

  // A hidden page loses the wake lock and asks for it on return. A visible page (low battery) says so.
  let lock = null;
  const tellAsleep = (asleep) => { document.getElementById("awake").textContent = asleep ? own("asleep") : ""; };
  async function stayAwake() {
    if (lock && !lock.released) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => tellAsleep(document.visibilityState === "visible"));
      tellAsleep(false);
    } catch {
      tellAsleep(true);
    }
  }
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    stayAwake();
    if (sound) wakeSound();
  });
  for (const touch of ["pointerup", "keydown"]) document.addEventListener(touch, wakeSound);
  stayAwake();
  showMute();
  showSound();
  show();
  setInterval(show, 250);
})();
