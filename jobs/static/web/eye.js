// The page of rejected submissions: edit, resend or discard each. It also lists what still waits.
"use strict";

import * as queue from "./queue.js";
import { clockOf, word } from "./signal.js";
import { sendWaiting, show } from "./taps.js";

const lists = { refused: document.getElementById("eye"), waiting: document.getElementById("waiting") };
const card = document.getElementById("tap-card");

function why(tap) {
  if (tap.state !== "already") return tap.why || "";
  return tap.by ? word("already", { by: tap.by, at: clockOf(tap.doneAt) }) : tap.why;
}

// Submit the form to the shop's page: refused again, that page keeps what was typed and shows each error.
async function edit(tap) {
  await queue.put({ ...tap, state: "editing" });
  const form = document.createElement("form");
  form.method = "post";
  form.action = tap.url;
  const token = document.querySelector("[name=csrfmiddlewaretoken]").value;
  const seen = tap.version || tap.sentSeen || tap.seen;
  for (const [name, value] of [...tap.fields, ["csrfmiddlewaretoken", token], ["form_key", tap.key], ["form_seen", seen], ["form_at", tap.at]]) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  document.body.append(form);
  form.submit();
}

async function again(tap) {
  const { why: _, version, sentSeen, ...rest } = tap;
  await queue.put({ ...rest, state: "waiting", late: true, sentSeen: version || sentSeen });
  await sendWaiting();
}

async function discard(tap) {
  await queue.remove(tap.id);
  await sendWaiting();
}

const BUTTONS = [
  ["edit", edit, ["refused", "editing"]],
  ["again", again, ["refused", "editing"]],
  ["discard", discard, ["refused", "editing", "waiting"]],
  ["understood", discard, ["already"]],
];

function drawn(tap, held) {
  const one = card.content.cloneNode(true), part = (name) => one.querySelector(`[data-part="${name}"]`);
  part("words").textContent = tap.words;
  part("piece").textContent = tap.about;
  part("at").textContent = word("tapped", { at: clockOf(tap.at) });
  part("why").textContent = held ? word("held") : why(tap);
  part("typed").textContent = tap.typed.map(([name, value]) => `${name}: ${value}`).join(" · ");
  for (const [name, act, states] of BUTTONS) {
    const button = part(name);
    if (states.includes(tap.state)) button.addEventListener("click", () => act(tap));
    else button.remove();
    if (name === "edit" && !navigator.onLine) button.disabled = true; // only the shop's page shows the errors
  }
  return one;
}

document.addEventListener("taps-shown", (event) => {
  const taps = event.detail, stuck = new Set(taps.filter((tap) => ["refused", "editing"].includes(tap.state)).map((tap) => tap.piece));
  const waiting = taps.filter((tap) => tap.state === "waiting");
  lists.refused.replaceChildren(...taps.filter((tap) => tap.state !== "waiting").map((tap) => drawn(tap, false)));
  lists.waiting.replaceChildren(...waiting.map((tap) => drawn(tap, stuck.has(tap.piece))));
  for (const list of Object.values(lists)) list.nextElementSibling.hidden = list.children.length > 0;
});

show(); // taps shown before this listener existed

const install = document.getElementById("install");
let offered = null;
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  offered = event;
  install.hidden = false;
});
install.addEventListener("click", () => offered?.prompt());
