// Shows the total of what is chosen as soon as it is chosen: the shop figures it. Without this there is a button.
"use strict";

for (const form of document.querySelectorAll("form[data-total]")) {
  form.querySelector("[data-update]")?.remove();
  form.addEventListener("change", async (event) => {
    if (event.target.type !== "radio") return;
    const asked = new FormData(form);
    asked.set("do", "total");
    const part = form.querySelector("[data-part=total]");
    part.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(asked) });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const section = page.getElementById(form.closest("section").id);
      const newest = section?.querySelector("[data-part=total]");
      if (newest && sameChoice(form, asked)) part.replaceChildren(...newest.childNodes);
    } catch {
      // without signal the total stays; the shop figures it once more when the order is placed
    } finally {
      part.removeAttribute("aria-busy");
    }
  });
}

// An answer that comes after a later choice is not shown.
function sameChoice(form, asked) {
  return [...form.querySelectorAll("input[type=radio]:checked")].every((one) => asked.get(one.name) === one.value);
}
