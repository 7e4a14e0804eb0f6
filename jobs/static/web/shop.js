// Keeps counts and glue lines going between two answers of the server, and sends a form once.
"use strict";

(() => {
  const ahead = Date.now() - Date.parse(document.body.dataset.now || new Date().toISOString());
  const now = () => Date.now() - ahead;

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
  }
  setInterval(tick, 1000);

  document.addEventListener("submit", (event) => {
    if (event.target.dataset.sent) event.preventDefault();
    event.target.dataset.sent = "yes";
  });
  addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });

  // What is being typed on the bench stays: it is not asked for again meanwhile.
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target.id !== "bench") return;
    const fields = [...event.target.querySelectorAll("input[type=text]")];
    if (fields.some((field) => field === document.activeElement || field.value !== field.defaultValue)) {
      event.preventDefault();
    }
  });

  // A part of a form that belongs to some answers of a select only.
  function showParts() {
    for (const part of document.querySelectorAll("[data-when]")) {
      const select = document.getElementById(part.dataset.when);
      if (select) part.hidden = !part.dataset.is.split(" ").includes(select.value);
    }
  }
  document.addEventListener("change", showParts);
  showParts();
})();
