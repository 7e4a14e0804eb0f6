// The glue-up without the server: its state stays on the phone, which sends the moment of clamping later.
"use strict";

import { clockOf, word } from "./signal.js";
import { makeSound } from "./knock.js";
import * as queue from "./queue.js";
import { press, takeBack } from "./taps.js";

const GUARD_MS = 600, UNDO_MS = 8000, SOON_MS = 120000, AGAIN_MS = 15000, TURN_MS = 250, STEP_MS = 10000;

(() => {
  const place = document.getElementById("glue"), form = document.getElementById("finish"), knuckle = document.getElementById("knuckle");
  if (!form) return;
  document.body.dataset.stay = "";
  const at = (id) => document.getElementById(id), box = place.dataset, dry = "dry" in box, store = `glue-up/${box.key}`;
  const allowed = 1000 * box.allowed, open = 1000 * box.open, closing = 1000 * box.closed, setting = 1000 * box.set;
  const rows = [...place.querySelectorAll("[data-joint]")], joints = rows.map((row) => ({ key: row.dataset.joint, name: row.dataset.name }));
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const kept = { closed: [], ...JSON.parse(localStorage.getItem(store) || "{}") };
  const keep = (change) => { Object.assign(kept, change); localStorage.setItem(store, JSON.stringify(kept)); };
  const words = at("glue-words").content;
  const own = (name, values = {}) => words.querySelector(`[data-word="${name}"]`).textContent.replace(/\{(\w+)\}/g, (_, key) => values[key]);
  const text = (node, says) => { if (node && node.textContent !== says) node.textContent = says; };
  const exact = (ms) => new Date(ms).toLocaleTimeString("en-GB");
  const sound = makeSound({ muted: () => localStorage.getItem("glue-up/mute") === "yes", told: showSound });

  let unsent = false;
  const closedAll = () => kept.closed.length === joints.length;
  const running = () => kept.since && !kept.until;
  const next = () => (running() && !closedAll() ? joints[kept.closed.length] : null);
  const soonMs = () => (whole() > SOON_MS ? SOON_MS : whole() / 2);
  const whole = () => (closedAll() && !dry ? closing || allowed : allowed);

  function clock(ms) {
    const seconds = ms < 0 ? Math.ceil(-ms / 1000) : Math.floor(ms / 1000);
    return `${ms < 0 && seconds ? "−" : ""}${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }
  const stateAt = (left, spent) => (left > soonMs() ? "" : left > 0 ? "soon" : !closedAll() && open && spent > open ? "too-late" : "over-time");

  // What the tap says, what it did, and what an undo takes back.
  function label() {
    if (!kept.since && !kept.until) return [own("first"), ""];
    if (kept.until) return dry ? [own("is-fitted"), exact(kept.until)] : [own("clamped"), exact(kept.until)];
    if (dry && !joints.length) return [own("is-fitted"), ""];
    return next() ? [next().name, own("is-closed")] : [own("clamped"), own("tight")];
  }
  function done() {
    if (kept.until && !dry) return own("clamped");
    if (kept.closed.length) return `${joints[kept.closed.length - 1].name} ${own("is-closed")}`;
    return own("first");
  }
  function showKnuckle() {
    const [big, small] = label(), knuckleWords = document.createElement("small"), name = document.createElement("b");
    if (knuckle.dataset.says === `${big} ${small}`) return;
    knuckle.dataset.says = `${big} ${small}`;
    name.textContent = big;
    knuckleWords.textContent = small || own("knuckle");
    knuckle.classList.toggle("joint", Boolean(next()));
    knuckle.replaceChildren(name, knuckleWords);
    knuckle.disabled = Boolean(kept.until);
  }
  function showRows() {
    rows.forEach((row, n) => {
      const when = kept.closed[n]?.[1], before = n ? kept.closed[n - 1]?.[1] : kept.since, here = running() && n === kept.closed.length;
      row.classList.toggle("done", Boolean(when));
      row.classList.toggle("here", Boolean(here));
      row.classList.toggle("late", Boolean(when && open && !dry && when - kept.since > open));
      text(row.querySelector("span"), when ? clock(when - before) : "");
    });
    place.querySelector("[data-clamps]")?.classList.toggle("here", Boolean(running() && closedAll()));
    place.querySelectorAll(".gdraw [data-part]").forEach((part) => {
      const n = Number(part.dataset.part), gap = Number(part.ownerSVGElement.dataset.gap), shut = Math.min(n, kept.closed.length);
      part.style.transform = `translateY(${-gap * shut}px)`;
      part.classList.toggle("shut", n < kept.closed.length);
      part.classList.toggle("here", Boolean(next()) && (n === kept.closed.length || n === kept.closed.length + 1));
    });
    const tighten = Boolean(at("order") && kept.since && closedAll());
    if (at("order")) at("order").hidden = !tighten;
    if (at("strips")) at("strips").hidden = tighten;
    const last = kept.closed.at(-1), late = last && open && !dry ? last[1] - kept.since - open : 0;
    text(at("late"), late > 0 ? own("closed-late", { joint: joints[kept.closed.length - 1].name, late: clock(late) }) : "");
  }
  function showUndo() {
    const undo = at("undo"), may = kept.acted && Date.now() - kept.acted < UNDO_MS;
    undo.hidden = !may;
    if (may) text(undo, own("undo", { what: done() }));
    at("under").hidden = false;
    if (at("all")) at("all").hidden = Boolean(kept.until) || (kept.since ? closedAll() : dry);
  }
  function bold(node, says, name) {
    if (node.dataset.says === `${says} ${name}`) return;
    node.dataset.says = `${says} ${name}`;
    const strong = document.createElement("b");
    strong.textContent = name;
    node.replaceChildren(`${says} `, strong);
  }
  function showTime() {
    if (!kept.since && !kept.until) return;
    if (!kept.since) return bold(at("says"), own("clamped"), exact(kept.until));
    const spent = (kept.until || Date.now()) - kept.since, left = whole() - spent, up = dry || !allowed, name = next()?.name || "";
    const state = allowed && (!kept.until || dry) ? stateAt(left, spent) : "";
    for (const each of ["soon", "over-time", "too-late"]) document.body.classList.toggle(each, state === each);
    text(at("time"), clock(up ? spent : left));
    if (kept.until) bold(at("says"), dry ? own("dry-done") : unsent ? word("clamped") : own("clamped"), dry || unsent ? "" : exact(kept.until));
    else if (dry) bold(at("says"), own("dry-time"), name);
    else if (!allowed) bold(at("says"), own("no-time"), name);
    else if (!name) bold(at("says"), own(left > 0 ? "clamps" : "clamps-late"), "");
    else bold(at("says"), own(state || (kept.closed.length + 1 === joints.length ? "last" : "next")), name);
    if (!allowed) return;
    const gone = Math.min(100, Math.max(0, (100 * (still.matches ? STEP_MS * Math.floor(spent / STEP_MS) : spent)) / whole()));
    at("glue-left").style.marginLeft = `${gone}%`;
    at("glue-now").style.left = `${gone}%`;
    text(at("from"), own(dry ? "begun" : "glue-on", { at: clockOf(kept.since) }));
    text(at("by"), own(dry ? "done-by" : closedAll() ? "clamp-by" : "close-by", { at: exact(kept.since + whole()) }));
    const spread = allowed - spent - setting * (joints.length - kept.closed.length);
    if (!name || dry) text(at("spread"), "");
    else if (spread > 0) bold(at("spread"), own("spread"), clock(spread));
    else bold(at("spread"), own("spread-over"), "");
    if (!kept.until && !dry) ring(left);
  }
  function show() { showTime(); showKnuckle(); showRows(); showUndo(); }

  // Two knocks when time runs short; at the end a low tone, again every 15 s until somebody touches the screen.
  let told = "", rang = 0;
  function ring(left) {
    const state = left <= 0 ? "over" : left <= soonMs() ? "soon" : "", now = Date.now();
    if (state === "soon" && told !== "soon" && sound.ready()) { told = "soon"; sound.knock(2); }
    if (state !== "over" || kept.hushed || now - rang < AGAIN_MS || !sound.ready()) return;
    told = "over";
    rang = now;
    sound.low();
  }
  function hush() {
    if (told === "over" && !kept.hushed) keep({ hushed: true });
  }
  function showSound() {
    const sounds = !dry && allowed && !kept.until && localStorage.getItem("glue-up/mute") !== "yes", state = sound?.state;
    text(at("heard"), !sounds ? "" : state === "none" ? own("no-sound") : kept.since && state === "untouched" ? own("touch") : "");
  }
  function showMute() {
    at("mute").hidden = false;
    at("mute").setAttribute("aria-pressed", String(localStorage.getItem("glue-up/mute") !== "yes"));
  }

  function act(all) {
    const now = Date.now();
    if (kept.until || now - (kept.acted || 0) < GUARD_MS) return;
    const begins = !kept.since && !all;
    if (begins) keep({ since: now, closed: [], acted: now, hushed: false });
    else if (all || closedAll()) keep({ until: now, acted: now });
    else keep({ closed: [...kept.closed, [next().key, now]], acted: now });
    if (!begins && closedAll() && !kept.until) {
      if (dry) keep({ until: now });
      else [told, kept.hushed] = ["", false]; // the clamps have a time of their own
    }
    sound.knock(1);
    show();
    showSound();
    if (kept.until) (dry ? showRest : send)();
  }
  async function undo() {
    if (!kept.acted) return;
    if (kept.until && !dry && !(await takeBack(form))) return;
    if (kept.until && !dry) keep({ until: null, acted: 0 });
    else if (kept.closed.length) keep({ closed: kept.closed.slice(0, -1), until: null, acted: 0 });
    else keep({ since: null, until: null, acted: 0 });
    if (!kept.since) location.reload();
    showRest();
    show();
  }

  // The moment joins the phone's queue, where it may be taken back for a while; whichever page is open sends it.
  async function send() {
    const iso = (ms) => new Date(ms).toISOString(), field = (name, value) => { form.elements[name].value = value; };
    field("when", iso(kept.until));
    field("glue_on", kept.since ? iso(kept.since) : "");
    field("joints", JSON.stringify(kept.closed.map(([name, ms]) => [name, iso(ms)])));
    const outcome = await press(form);
    unsent = Boolean(outcome?.waits);
  }
  function showRest() {
    if (!dry) return;
    form.hidden = !kept.until;
    at("again").hidden = false;
    knuckle.hidden = Boolean(kept.until);
    if (!kept.until) return;
    const field = form.elements["measured.dry_fit_time"];
    field.value = ((kept.until - kept.since) / 60000).toFixed(1);
    form.scrollIntoView({ block: "nearest" });
  }
  document.addEventListener("taps-shown", ({ detail }) => {
    const { piece, stage } = box, begun = at("begun");
    if (!detail.some((tap) => tap.state === "waiting" && tap.verb === "start" && tap.piece === piece && tap.stage === stage)) return;
    at("not-begun")?.remove();
    begun.hidden = false;
  });
  document.addEventListener("tap-answered", ({ detail }) => {
    if (detail.tap.url !== new URL(form.action).pathname) return;
    if (detail.landed) {
      localStorage.removeItem(store);
      document.body.dataset.leaving = "yes"; // the next page asks the rest, so this one is not fetched again
      location.assign(detail.where);
    } else if (detail.refused) text(at("says"), detail.says);
  });

  // It acts on press, not on release: a knuckle slides. The keyboard has no press.
  knuckle.addEventListener("pointerdown", (event) => { if (event.isPrimary && event.button === 0) act(); });
  knuckle.addEventListener("click", (event) => {
    event.preventDefault();
    if (event.detail === 0) act();
  });
  at("all")?.addEventListener("click", () => act(true));
  at("undo").addEventListener("click", undo);
  at("mute").addEventListener("click", () => {
    localStorage.setItem("glue-up/mute", localStorage.getItem("glue-up/mute") === "yes" ? "no" : "yes");
    showMute();
    showSound();
  });
  at("again")?.addEventListener("click", () => {
    keep({ since: null, closed: [], until: null, acted: 0 });
    location.reload();
  });

  // A hidden page loses the wake lock and asks for it on return. A visible page (low battery) says so.
  let lock = null;
  const tellAsleep = (asleep) => text(at("awake"), asleep ? own("asleep") : "");
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
    sound.resume();
  });
  for (const touch of ["pointerdown", "keydown"]) document.addEventListener(touch, hush, true);
  for (const touch of ["pointerup", "keydown"]) document.addEventListener(touch, sound.wake);
  if (matchMedia("(min-width: 52rem)").matches) place.querySelector(".gclamps")?.parentElement.setAttribute("open", "");
  stayAwake();
  knuckle.hidden = false;
  showMute();
  showSound();
  showRest();
  show();
  setInterval(show, TURN_MS);

  // A page opened again after the tap: either the queue still holds it, or it was sent and the stage reopened.
  async function look() {
    if (!kept.until || dry) return;
    const url = new URL(form.action).pathname, waits = (await queue.all()).some((tap) => tap.url === url);
    unsent = waits && Date.now() - kept.acted > UNDO_MS;
    if (waits) return;
    localStorage.removeItem(store);
    location.reload();
  }
  look().catch(() => {});
})();
