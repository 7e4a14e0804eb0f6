// The offline queue. It stores a form on the phone before sending, so that no lost signal loses it. It sends
// what waits in order, with the moment of the tap, when a page opens, comes to the front, or signal is back.
"use strict";

import { lay } from "./later.js";
import * as queue from "./queue.js";
import { band, clockOf, tell } from "./signal.js";

const PATIENCE_MS = 10000, EVERY_MS = 15000;
const person = document.body.dataset.person || "";

const cookie = (name) => document.cookie.match(new RegExp(`(?:^|; )${name}=([^;]*)`))?.[1] || "";
const random = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");
const fieldOf = (form, name) => form.elements.namedItem(name);

// Return what somebody typed, under the labels of the fields.
function typedIn(form) {
  const found = [];
  for (const field of form.elements) {
    if (!field.name || !field.value || field.type === "hidden" || field.type === "submit") continue;
    if ((field.type === "radio" || field.type === "checkbox") && !field.checked) continue;
    const title = field.type === "radio" ? field.closest("fieldset")?.querySelector("legend") : field.labels?.[0];
    const shown = field.tagName === "SELECT" ? field.selectedOptions[0].textContent : field.value;
    if (field.type !== "radio" || field.value) found.push([(title?.textContent || field.name).trim(), shown.trim()]);
  }
  return found;
}

const CARRIED = ["csrfmiddlewaretoken", "form_key", "form_seen", "form_at"];
const asks = (form, submitter) => [...new FormData(form, submitter)].filter(([name, value]) => typeof value === "string" && !CARRIED.includes(name));

async function keep(form, submitter) {
  const { tap: words, piece, called = piece, stage = "", verb = "", editing } = form.dataset;
  const fields = asks(form, submitter);
  const first = fieldOf(form, "form_at")?.value, key = fieldOf(form, "form_key")?.value || random();
  const url = new URL(form.action, location.href).pathname, asked = JSON.stringify([url, fields]);
  const used = (await queue.all()).some((tap) => tap.key === key && (editing || JSON.stringify([tap.url, tap.fields]) !== asked));
  const tap = {
    person, words, about: called || document.title.split(" · ")[0], piece: piece || url, stage, verb, url, fields,
    typed: typedIn(form), key: used ? random() : key, seen: fieldOf(form, "form_seen")?.value || "",
    at: first || new Date().toISOString(), after: Date.now() + 1000 * (form.dataset.holds || 0), late: Boolean(first), timed: "timed" in form.dataset, beside: "repeats" in form.dataset, state: "waiting",
  };
  if (editing) tap.id = Number(editing);
  tap.id = await queue.put(tap);
  return tap;
}

async function post(tap, watched) {
  const body = new URLSearchParams([...tap.fields, ["form_key", tap.key], ["form_seen", tap.sentSeen]]);
  if (!watched || tap.late || tap.timed) body.set("form_at", tap.at);
  const headers = { "X-CSRFToken": cookie("csrftoken"), "Tap-By": person, "Device-Time": new Date().toISOString() };
  if (!watched) headers["Tap-Later"] = "yes";
  const answer = await fetch(tap.url, { method: "POST", body, headers, redirect: "manual", credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE_MS) });
  if (!answer.headers.get("Content-Type")?.startsWith("application/json")) return null;
  return { status: answer.status, ...(await answer.json()) };
}

// Send one tap and return its outcome. Without an answer from the shop it keeps waiting.
async function send(tap, watched) {
  if (tap.sentSeen === undefined) {
    tap.sentSeen = tap.seen && (await queue.seenNow(tap.piece, tap.seen));
    await queue.put(tap); // a retry must be the same request
  }
  let answer = null;
  try {
    answer = await post(tap, watched);
  } catch {
    // no signal
  }
  if (!answer || answer.status >= 500 || answer.status === 429) {
    if (!tap.late) await queue.put({ ...tap, late: true });
    return { waits: true };
  }
  if (answer.status === 401) return { waits: true, signIn: true };
  if (answer.status < 300) {
    await queue.land(tap, answer.versions);
    return { landed: true, ...answer };
  }
  if (watched) return { refused: true, ...answer };
  const already = answer.code === "already-done";
  await queue.put({ ...tap, state: already ? "already" : "refused", why: answer.says, by: answer.by, doneAt: answer.at, version: answer.version });
  return { refused: !already, ...answer };
}

let last = Promise.resolve();
function alone(act) {
  if (navigator.locks) return navigator.locks.request("taps", act); // one page at a time
  return (last = last.then(act, act));
}

// Send this person's taps in order; a refusal holds later taps on the same piece.
export function flush(pressed) {
  return alone(async () => {
    const outcomes = new Map(), held = new Set();
    for (const tap of await queue.all()) {
      if (!person || tap.person !== person || tap.state === "already") continue;
      if (tap.state !== "waiting") held.add(tap.piece);
      if (tap.after > Date.now()) held.add(tap.piece); // it may still be taken back
      if (held.has(tap.piece)) continue;
      const outcome = await send(tap, tap.id === pressed);
      outcomes.set(tap.id, { tap, ...outcome });
      if (outcome.refused) held.add(tap.piece);
      if (outcome.waits) {
        band.signIn = Boolean(outcome.signIn);
        break;
      }
      band.signIn = false;
      document.dispatchEvent(new CustomEvent("tap-answered", { detail: outcomes.get(tap.id) }));
    }
    return outcomes;
  });
}

// Send a form at once where possible, else keep it in the queue.
export async function press(form, submitter) {
  if (form.dataset.sent) return null;
  form.dataset.sent = "yes";
  let tap;
  try {
    tap = await keep(form, submitter);
  } catch { // a browser without storage submits the form as usual
    HTMLFormElement.prototype.submit.call(form);
    return null;
  }
  if (form.dataset.holds) {
    await new Promise((over) => setTimeout(over, tap.after - Date.now() + 50));
    if (!(await queue.get(tap.id))) return null;
  }
  const outcome = (await flush(tap.id)).get(tap.id) || { waits: true };
  if (outcome.landed) {
    location.assign(outcome.where); // that page says what was done
  } else if (outcome.refused) {
    await (form.dataset.editing ? queue.put({ ...tap, state: "editing" }) : queue.remove(tap.id));
    HTMLFormElement.prototype.submit.call(form); // the page shows the errors and keeps what was typed
  } else {
    delete form.dataset.sent;
    if ("repeats" in form.dataset) empty(form, tap);
    document.dispatchEvent(new CustomEvent("tap-kept"));
    await show();
  }
  return outcome;
}

// Take back what a form that holds its tap for a while has just kept; return whether there was still time.
export function takeBack(form) {
  return alone(async () => {
    const url = new URL(form.action).pathname, kept = (await queue.all()).find((tap) => tap.url === url && tap.after > Date.now());
    if (kept) await queue.remove(kept.id);
    delete form.dataset.sent;
    return Boolean(kept);
  });
}

// Empty the form for the next tap, unless somebody has typed in it since.
function empty(form, tap) {
  delete form.dataset.editing;
  if (JSON.stringify(asks(form)) === JSON.stringify(tap.fields)) form.reset();
  fieldOf(form, "form_key").value = random();
  fieldOf(form, "form_at").value = "";
}

// A form may wait on the phone only without a picture, which would be too large.
const mayWait = (form) => "tap" in form.dataset && ![...form.querySelectorAll("[type=file]")].some((field) => field.files.length);

export async function show() {
  const all = await queue.all(), mine = all.filter((tap) => tap.person === person || !person);
  tell(mine, all.length - mine.length);
  lay(mine.filter((tap) => tap.state === "waiting"));
  document.dispatchEvent(new CustomEvent("taps-shown", { detail: mine }));
}

const reload = () => location.assign(location.pathname + location.search);

function touched() {
  const fields = [...document.querySelectorAll("main input:not([type=hidden]), main textarea")];
  return fields.some((f) => f === document.activeElement || f.value !== f.defaultValue || f.checked !== f.defaultChecked);
}

export async function sendWaiting() {
  const outcomes = [...(await flush()).values()], landed = outcomes.filter((one) => one.landed);
  if (landed.length) {
    band.sent = landed.map((one) => [one.says, ...one.notices].join(" "));
    sessionStorage.setItem("sent", JSON.stringify(band.sent));
  }
  await show();
  if (outcomes.some((one) => !one.waits) && !("stay" in document.body.dataset) && !touched()) reload();
}

// Replace a kept page, or the page shown for a missing one, as soon as the shop answers.
async function look() {
  if ((!document.body.dataset.kept && !document.getElementById("no-signal")) || touched()) return;
  try {
    const answer = await fetch(location.pathname, { method: "HEAD", signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.status < 500 && !("leaving" in document.body.dataset)) location.reload();
  } catch {
    // still no signal
  }
}

async function turn() {
  if (document.visibilityState !== "visible") return;
  if ((await queue.all()).some((tap) => tap.state === "waiting")) await sendWaiting();
  await look();
}

// A form refused during editing stays the same tap; one that was left returns to the queue.
async function resumeEditing() {
  for (const tap of await queue.all()) {
    if (tap.state !== "editing" || tap.person !== person) continue;
    const form = [...document.querySelectorAll("form[data-tap]")].find((f) => fieldOf(f, "form_at")?.value === tap.at && new URL(f.action).pathname === tap.url);
    if (form) form.dataset.editing = tap.id;
    else await queue.put({ ...tap, state: "waiting", late: true });
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!mayWait(form) && form.method === "post" && !navigator.onLine) {
    event.preventDefault();
    event.stopPropagation();
    document.dispatchEvent(new CustomEvent("tap-kept"));
    band.needsSignal = true;
    show();
    return;
  }
  if (!mayWait(form) || !person) return;
  event.preventDefault();
  event.stopPropagation();
  press(form, event.submitter);
}, true);
document.addEventListener("bench-shown", show);
document.addEventListener("changed-elsewhere", () => {
  if (!touched()) reload();
  else { band.changed = true; show(); }
});
addEventListener("online", () => { band.needsSignal = false; turn(); });
document.addEventListener("visibilitychange", turn);
setInterval(turn, EVERY_MS);

band.kept = document.body.dataset.kept ? clockOf(document.body.dataset.kept) : "";
band.sent = JSON.parse(sessionStorage.getItem("sent") || "[]");
sessionStorage.removeItem("sent");
resumeEditing().then(show).then(turn).catch((wrong) => console.info(`taps are not kept: ${wrong}`));
