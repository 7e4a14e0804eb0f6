// Updates counts and glue lines between two answers of the server, and sends a form once.
"use strict";

(() => {
  const shown = document.body.dataset.kept ? "" : document.body.dataset.now; // the shop's clock on a kept page is out of date
  const ahead = Date.now() - Date.parse(shown || new Date().toISOString());
  const now = () => Date.now() - ahead;
  const [, sign = "+", h = 0, m = 0] = /([+-])(\d\d):(\d\d)$/.exec(document.body.dataset.now || "") || [];
  const zone = (sign === "-" ? -1 : 1) * (h * 60 + Number(m)) * 60000; // the shop's, wherever the phone is
  const UNDO_MS = 10000;

  function spanWords(ms) {
    const seconds = Math.max(0, Math.round(ms / 1000));
    if (seconds < 60) return `${seconds} s`;
    const minutes = Math.floor(seconds / 60);
    if (minutes < 60) return `${minutes} min`;
    const hours = Math.floor(minutes / 60);
    if (hours < 24) return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
    const days = Math.floor(hours / 24);
    if (days < 4) return hours % 24 ? `${days} d ${hours % 24} h` : `${days} d`;
    return `${days} days`;
  }

  function tick() {
    for (const count of document.querySelectorAll("[data-until]")) {
      const left = Date.parse(count.dataset.until) - now();
      const words = `${left > 0 ? count.dataset.before : count.dataset.after} ${spanWords(Math.abs(left))}`;
      if (count.textContent !== words) count.textContent = words;
    }
    for (const line of document.querySelectorAll("[data-since][data-end]")) {
      const since = Date.parse(line.dataset.since);
      const share = (now() - since) / (Date.parse(line.dataset.end) - since);
      line.style.setProperty("--fill", `${Math.max(0, Math.min(100, share * 100)).toFixed(1)}%`);
    }
    const at = new Date(now() + zone), clock = `${at.getUTCHours()}:${String(at.getUTCMinutes()).padStart(2, "0")}`;
    for (const shown of document.querySelectorAll("[data-clock]")) if (shown.textContent !== clock) shown.textContent = clock;
    for (const axis of document.querySelectorAll("[data-axis]")) {
      axis.style.setProperty("--now", ((now() - Date.parse(axis.dataset.axis)) / 3600000).toFixed(2));
    }
    for (const undo of document.querySelectorAll("[data-undo]")) {
      undo.dataset.since ||= Date.now();
      if (Date.now() - undo.dataset.since > UNDO_MS && !undo.contains(document.activeElement)) undo.remove();
    }
  }
  setInterval(tick, 1000);

  document.addEventListener("submit", (event) => {
    if (event.target.dataset.sent) event.preventDefault();
    event.target.dataset.sent = "yes";
  });
  addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });

  // Say so where loading takes over a second; an installed page has no other sign of it.
  const SOON_MS = 1000, GIVEN_UP_MS = 30000;
  let soon = 0;
  function rest() {
    clearTimeout(soon);
    document.querySelector(".busy")?.remove();
  }
  function work() {
    rest();
    soon = setTimeout(() => {
      const bar = document.createElement("div"), says = document.createElement("span");
      bar.className = "busy";
      bar.setAttribute("role", "status");
      says.className = "away";
      says.textContent = document.body.dataset.working;
      bar.append(says);
      document.body.append(bar);
      soon = setTimeout(rest, GIVEN_UP_MS);
    }, SOON_MS);
  }
  document.addEventListener("submit", work, true);
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    const leaves = link && !link.target && link.origin === location.origin && link.pathname !== location.pathname;
    if (leaves && !event.ctrlKey && !event.metaKey && !/\.(pdf|csv)$|\/pdf\/$/.test(link.pathname)) work();
  });
  document.addEventListener("htmx:afterRequest", rest);
  document.addEventListener("tap-kept", rest);
  addEventListener("pageshow", rest);

  // The bench follows what happens; not while somebody types, walks its rows or has a line open.
  const bench = document.querySelector("[data-follow]"), FOLLOW_MS = 15000;
  async function follow() {
    const both = ["bench-now", "bench"].map((id) => document.getElementById(id));
    const fields = [...bench.querySelectorAll("input[type=text]")];
    const busy = both.some((part) => part.contains(document.activeElement)) || bench.querySelector("details[open]");
    if (document.visibilityState !== "visible" || busy || fields.some((field) => field.value !== field.defaultValue)) return;
    const answer = await fetch(bench.dataset.follow, { credentials: "same-origin" });
    if (answer.redirected) return location.reload(); // nobody is signed in any more
    if (!answer.ok) return;
    const now = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const part of both) part.replaceChildren(...now.getElementById(part.id).childNodes);
    document.dispatchEvent(new CustomEvent("bench-shown"));
  }
  if (bench && !document.body.dataset.kept) setInterval(() => follow().catch(() => {}), FOLLOW_MS); // no signal

  // Show a part of a form only with the answers of a select that it belongs to.
  function showParts() {
    for (const part of document.querySelectorAll("[data-when]")) {
      const select = document.getElementById(part.dataset.when);
      if (select) part.hidden = !part.dataset.is.split(" ").includes(select.value);
    }
  }
  // Shrink a picture before sending: less to send over a bad line. The server shrinks it too.
  const LONGEST = 1600;
  async function shrink(input) {
    if (typeof createImageBitmap !== "function") return;
    const list = new DataTransfer();
    for (const file of input.files) list.items.add(await shrunk(file).catch(() => file));
    if (list.items.length) input.files = list.files;
  }
  async function shrunk(file) {
    const image = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST / Math.max(image.width, image.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * scale);
    canvas.height = Math.round(image.height * scale);
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    return blob && blob.size < file.size ? new File([blob], "picture.jpg", { type: "image/jpeg" }) : file;
  }
  document.addEventListener("change", (event) => {
    if ("shrink" in (event.target.dataset || {})) shrink(event.target).catch(() => {});
  });

  // A value that was known to be good says so no longer once it is typed over.
  document.addEventListener("input", (event) => event.target.closest?.(".measure.good")?.classList.remove("good"));

  document.addEventListener("change", showParts);
  showParts();

  // Keys of the laptop: / search, g and a letter for a place, j and k through the rows, ? the list of keys.
  const ROWS = "main .go, main .job b a, main a.tag, main a.line, main .line .word, main .lines a";
  const list = document.getElementById("keys");
  const places = Object.fromEntries([...document.querySelectorAll("#keys [data-go]")].map((each) => [each.previousElementSibling.textContent.at(-1), each.dataset.go]));
  let going = 0;

  function step(by) {
    const rows = [...document.querySelectorAll(ROWS)].filter((row) => row.offsetParent);
    const at = rows.indexOf(document.activeElement);
    rows[at < 0 ? (by > 0 ? 0 : rows.length - 1) : Math.max(0, Math.min(rows.length - 1, at + by))]?.focus();
  }

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.("input, textarea, select, [contenteditable]") || list?.open) return;
    const follows = Date.now() - going < 1500;
    going = event.key === "g" ? Date.now() : 0;
    if (follows && places[event.key]) location.assign(places[event.key]);
    else if (event.key === "/") {
      const field = document.getElementById("q");
      if (field) field.focus();
      else location.assign("/search/");
    } else if (event.key === "j" || event.key === "k") step(event.key === "j" ? 1 : -1);
    else if (event.key === "?") list?.showModal();
    else return;
    event.preventDefault();
  });
})();
