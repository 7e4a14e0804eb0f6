// Keys of the laptop: / search, g and a letter for a place, j and k through the rows, ? the list of keys.
"use strict";

(() => {
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
