// Keeps the bench, the open commissions and the open stages on this phone, to read without signal.
"use strict";

const PAGES = "pages", FIRST_MS = 2000, EVERY_MS = 60000, OLD_MS = 6 * 3600 * 1000, VISITED_MS = 7 * 24 * 3600 * 1000;
const person = document.body.dataset.person || "";

// Drop the kept pages at the end of a session. Taps stay: they are work not sent yet.
async function forget() {
  await caches.delete(PAGES);
  localStorage.removeItem("pages-of");
}

// Drop pages of another person, and of the same person after a change of role or an erasure.
async function ownPages(of) {
  if (localStorage.getItem("pages-of")?.startsWith(of)) return;
  await caches.delete(PAGES);
  localStorage.setItem("pages-of", of);
}

const since = (kept) => Date.now() - Date.parse(kept.headers.get("Kept-At"));

async function keepPage(pages, { url, mark }) {
  const kept = await pages.match(url);
  if (kept?.headers.get("Kept-Mark") === mark && since(kept) < OLD_MS) return;
  const answer = await fetch(url, { headers: { "For-Later": "yes" }, credentials: "same-origin" });
  if (!answer.ok || answer.redirected) return;
  const headers = new Headers(answer.headers);
  headers.set("Kept-Mark", mark);
  headers.set("Kept-At", new Date().toISOString());
  await pages.put(url, new Response(await answer.blob(), { headers }));
}

async function keepAll() {
  if (document.visibilityState !== "visible" || !navigator.onLine || document.body.dataset.kept) return;
  const answer = await fetch("/kept/", { credentials: "same-origin" });
  if (answer.redirected && new URL(answer.url).pathname === "/sign-in/") return forget();
  if (!answer.ok || answer.redirected) return;
  const { pages: wanted, looks } = await answer.json(), urls = new Set(wanted.map((page) => page.url));
  await ownPages(`${person} ${looks}`);
  const pages = await caches.open(PAGES);
  for (const page of wanted) await keepPage(pages, page);
  for (const request of await pages.keys()) {
    const visited = await pages.match(request);
    if (!urls.has(new URL(request.url).pathname) && since(visited) > VISITED_MS) await pages.delete(request);
  }
}

async function begin() {
  await navigator.serviceWorker.register("/service-worker.js", { updateViaCache: "none" });
  await navigator.serviceWorker.ready;
  if (document.querySelector("[data-session-over]")) await forget();
  if (!person) return;
  await ownPages(`${person} `);
  const turn = () => keepAll().catch(() => {}); // the next turn tries again
  setTimeout(turn, FIRST_MS);
  setInterval(turn, EVERY_MS);
}

// A browser offers this over HTTPS or on localhost only; taps are kept without it too.
if ("serviceWorker" in navigator) begin().catch((wrong) => console.info(`pages are not kept: ${wrong}`));
