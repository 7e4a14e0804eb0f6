// Without signal a page follows the queued taps: it shows the stage's next form and marks what is kept.
"use strict";

import { clockOf, word } from "./signal.js";

const AFTER = { start: "under way", do: "done", resume: "under way", reopen: "under way", finish: "done", pause: "paused", "put-back": "ready", skip: "skipped" };
const FORMS = { ready: ["do", "start"], held: ["start"], "under way": ["finish", "pause"], paused: ["finish", "resume"] };
const BEHIND = ["finish", "skip", "do"];

function kept(tap) {
  const line = document.createElement("p");
  line.className = "alert warning kept-tap";
  line.textContent = word("kept", { what: tap.words, at: clockOf(tap.at) });
  return line;
}

// Show above a repeatable form the submissions of it that wait.
function layBeside(form, taps) {
  const here = taps.filter((tap) => tap.beside && tap.url === new URL(form.action).pathname);
  form.querySelectorAll(":scope > .kept-tap").forEach((line) => line.remove());
  form.prepend(...here.map(kept));
}

function standingBy(work, taps) {
  const own = taps.filter((tap) => tap.stage === work.dataset.stage && tap.verb in AFTER);
  if (own.length) return AFTER[own.at(-1).verb];
  const missing = work.dataset.missing.split(" ").filter(Boolean);
  const done = new Set(taps.filter((tap) => BEHIND.includes(tap.verb)).map((tap) => tap.stage));
  return work.dataset.standing === "planned" && missing.length && missing.every((key) => done.has(key)) ? "ready" : work.dataset.standing;
}

// Show the forms of the stage as if the shop had accepted everything that waits.
function layStage(taps) {
  const work = document.getElementById("work");
  const acts = document.getElementById("acts");
  if (!work || !acts) return;
  for (const part of [work, acts]) part.first ??= [...part.childNodes];
  const here = taps.filter((tap) => tap.piece === work.dataset.piece && !tap.beside), standing = standingBy(work, here);
  const laid = `${standing} ${here.map((tap) => tap.id).join(" ")}`;
  if (work.dataset.laid === laid || (!here.length && !work.dataset.laid)) return;
  work.dataset.laid = laid;
  const own = here.filter((tap) => tap.stage === work.dataset.stage).map(kept);
  if (standing === work.dataset.standing && !own.length) {
    for (const part of [work, acts]) part.replaceChildren(...part.first);
    return;
  }
  const ahead = [...document.querySelectorAll("template[data-ahead]")];
  const forms = (FORMS[standing] || []).map((name) => ahead.find((t) => t.dataset.ahead === name)).filter(Boolean);
  work.replaceChildren(...own, ...forms.map((form) => form.content.cloneNode(true)));
  const pressed = [...document.querySelectorAll("template[data-acts]")].find((t) => t.dataset.acts === standing);
  acts.replaceChildren(...(pressed ? [pressed.content.cloneNode(true)] : []));
}

function mark(place, tap) {
  if (place.querySelector(`[data-tap-id="${tap.id}"]`)) return;
  const chip = document.createElement("span");
  chip.className = "chip kept";
  chip.dataset.tapId = tap.id;
  chip.textContent = word("chip", { at: clockOf(tap.at) });
  place.append(chip);
}

export function lay(taps) {
  layStage(taps);
  for (const form of document.querySelectorAll("form[data-repeats]")) layBeside(form, taps);
  for (const chip of document.querySelectorAll("[data-tap-id]")) {
    if (!taps.some((tap) => String(tap.id) === chip.dataset.tapId)) chip.remove();
  }
  for (const tap of taps) {
    for (const link of document.querySelectorAll(`:is(#bench, #bench-now) a:not([aria-hidden])[href="/pieces/${CSS.escape(tap.piece)}/stages/${CSS.escape(tap.stage)}/"]`)) mark(link.parentElement, tap);
    for (const field of document.querySelectorAll(`#bench input[name=form_key][value="${CSS.escape(tap.key)}"]`)) field.form.replaceWith(kept(tap));
  }
}
