// A stage's page: one tap ticks all that is to be ticked, and a stage that a wait holds shows its button once it opens.
"use strict";

const HOURS_24 = 24 * 3600 * 1000;
let typed = false;

document.addEventListener("input", () => { typed = true; });
for (const button of document.querySelectorAll("[data-tick-all]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    for (const box of button.closest("form").querySelectorAll(".tick input")) box.checked = true;
  });
}
for (const count of document.querySelectorAll("[data-opens] [data-until]")) {
  const left = Date.parse(count.dataset.until) - Date.parse(document.body.dataset.now);
  if (left > 0 && left < HOURS_24) setTimeout(() => { if (!typed) location.reload(); }, left + 1000);
}
