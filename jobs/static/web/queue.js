// The queue of taps on this phone, in order, and the piece version that each accepted tap led to. It survives
// a restart of the browser.
"use strict";

const opened = new Promise((resolve, reject) => {
  const asked = indexedDB.open("shop-log", 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore("taps", { keyPath: "id", autoIncrement: true });
    asked.result.createObjectStore("steps");
  };
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
});

// One transaction, resolved once it is on the disk.
async function within(mode, act) {
  const base = await opened;
  return new Promise((resolve, reject) => {
    const work = base.transaction(["taps", "steps"], mode, { durability: "strict" });
    const asked = act(work.objectStore("taps"), work.objectStore("steps"));
    work.oncomplete = () => resolve(asked.result);
    work.onerror = work.onabort = () => reject(work.error);
  });
}

export const all = () => within("readonly", (taps) => taps.getAll());
export const get = (id) => within("readonly", (taps) => taps.get(id));
export const put = (tap) => within("readwrite", (taps) => taps.put(tap));
export const remove = (id) => within("readwrite", (taps) => taps.delete(id));

const step = (piece, seen) => `${piece} ${seen}`;

// Remove an accepted tap, and record the version that its piece has now for forms that saw the earlier one.
export const land = (tap, versions) =>
  within("readwrite", (taps, steps) => {
    if (tap.sentSeen && versions[tap.piece]) steps.put(versions[tap.piece], step(tap.piece, tap.sentSeen));
    return taps.delete(tap.id);
  });

// Return the version that a page showed, advanced by the taps accepted from this phone since.
export async function seenNow(piece, seen) {
  let now = seen;
  for (;;) {
    const next = await within("readonly", (_, steps) => steps.get(step(piece, now)));
    if (!next) return now;
    now = String(next);
  }
}
