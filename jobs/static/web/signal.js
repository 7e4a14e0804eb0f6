// The signal band: how old the page is, what waits, what was rejected.
"use strict";

export const band = { kept: "", sent: [], signIn: false, changed: false, needsSignal: false };

const words = document.getElementById("words").content;

export function word(name, values = {}) {
  return words.querySelector(`[data-word="${name}"]`).textContent.replace(/\{(\w+)\}/g, (_, key) => values[key] ?? "");
}

// Return a moment in local time, with its day where that is not today.
export function clockOf(moment) {
  const then = new Date(moment), time = then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (then.toDateString() === new Date().toDateString()) return time;
  return `${then.toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "long" })}, ${time}`;
}

export function tell(taps, others) {
  const box = document.getElementById("signal"), eye = document.getElementById("signal-eye");
  const waiting = taps.filter((tap) => tap.state === "waiting").length;
  const refused = taps.length - waiting, noneHere = !document.body.dataset.person && !document.getElementById("no-signal");
  const says = [
    band.kept && word("as-of", { at: band.kept }),
    band.needsSignal && word("needs-signal"),
    band.changed && word("changed"),
    waiting === 1 && word("one-waits"),
    waiting > 1 && word("many-wait", { n: waiting }),
    waiting && (band.signIn || noneHere) && word("sign-in"),
    others > 0 && word("others", { n: others }),
    band.sent.length && word("sent", { what: band.sent.join(" ") }),
  ].filter(Boolean);
  const text = says.join(" ");
  const line = document.getElementById("signal-says");
  if (line.textContent !== text) line.textContent = text;
  eye.hidden = !refused && !waiting;
  eye.textContent = refused ? word("eye", { n: refused }) : word("look");
  eye.classList.toggle("risky", refused > 0);
  box.hidden = !text && !refused;
}
