// Shows kept pages where there is no signal. The shop's answer comes first; submissions pass through.
// The server prepends SHELL: the files that every page needs, and their version.
"use strict";

const PAGES = "pages", FILES = `files-${SHELL.version}`, PATIENCE_MS = 4000;
const LONGEST_MS = 14 * 24 * 3600 * 1000; // since the shop last answered
const KEPT = [
  /^\/$/, /^\/needs-your-eye\/$/, /^\/commissions\/$/, /^\/commissions\/[0-9-]+\/((piece\/([^/]+\/)?)|history\/)?$/,
  /^\/pieces\/[^/]+\/figures\/$/,
  /^\/pieces\/[^/]+\/stages\/[^/]+\/((now|note)\/)?$/, /^\/waits\/\d+\/end\/$/,
  /^\/climate\/$/, /^\/stock\/supplies\/\d+\/$/,
];

addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((files) => files.addAll(SHELL.files)).then(() => skipWaiting()));
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name !== PAGES && name !== FILES) await caches.delete(name);
    await clients.claim();
  })());
});

const isTooOld = (kept) => !(Date.now() - Date.parse(kept.headers.get("Kept-At")) < LONGEST_MS);

// Drop pages that are too old, whichever page is asked for first.
async function dropOld() {
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    const kept = await pages.match(request);
    if (kept && isTooOld(kept)) await pages.delete(request);
  }
}
dropOld().catch(() => {});

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

async function fromShop(request, name) {
  const answer = await fetch(request);
  if (answer.ok && answer.type === "basic" && !answer.redirected) {
    const copy = answer.clone(), headers = new Headers(copy.headers);
    headers.set("Kept-At", new Date().toISOString());
    const store = await caches.open(name);
    await store.put(request.url, new Response(await copy.blob(), { headers }));
  }
  return answer;
}

// Return the shop's answer where it comes in time, else the kept page.
async function firstOf(answering, kept) {
  if (!kept) return answering;
  const late = Symbol("late");
  try {
    const answer = await Promise.race([answering, pause(PATIENCE_MS).then(() => late)]);
    return answer === late || answer.status > 501 ? kept : answer;
  } catch {
    return kept;
  }
}

// Mark a kept page with the moment since when it is kept.
async function stamped(kept) {
  const html = await kept.text();
  return new Response(html.replace("<body ", `<body data-kept="${kept.headers.get("Kept-At")}" `), { headers: kept.headers });
}

async function page(event, path) {
  const isKept = KEPT.some((one) => one.test(path));
  const answering = isKept && !new URL(event.request.url).search ? fromShop(event.request, PAGES) : fetch(event.request);
  answering.catch(() => {});
  event.waitUntil(answering.catch(() => {}));
  let kept = isKept ? await caches.match(path, { cacheName: PAGES, ignoreVary: true }) : undefined;
  if (kept && isTooOld(kept)) {
    kept = undefined;
    await dropOld();
  }
  try {
    const answer = await firstOf(answering, kept);
    return answer === kept ? stamped(kept) : answer;
  } catch {
    return caches.match("/no-signal/", { ignoreVary: true });
  }
}

async function file(event) {
  const kept = await caches.match(event.request, { ignoreVary: true });
  const answering = fromShop(event.request, FILES);
  event.waitUntil(answering.catch(() => {}));
  return firstOf(answering, kept);
}

addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== location.origin || /^\/(c|calendar|api)\//.test(url.pathname)) return;
  if (url.pathname === "/sign-out/") event.waitUntil(caches.delete(PAGES));
  if (request.method !== "GET") return;
  if (request.mode === "navigate") event.respondWith(page(event, url.pathname));
  else if (url.pathname.startsWith(SHELL.static)) event.respondWith(file(event));
});
