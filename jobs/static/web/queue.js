// Taps that wait on this phone, in order, and what each that landed made of its piece; they outlast the browser.
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

// One transaction, on the disk before it is said to be done.
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

// It is done: the tap goes, and whoever saw its piece as this tap did has now seen what it made of it.
export const land = (tap, versions) =>
  within("readwrite", (taps, steps) => {
    if (tap.sentSeen && versions[tap.piece]) steps.put(versions[tap.piece], step(tap.piece, tap.sentSeen));
    return taps.delete(tap.id);
  });

// The version that a page showed, brought forward by what was tapped here since.
export async function seenNow(piece, seen) {
  let now = seen;
  for (;;) {
    const next = await within("readonly", (_, steps) => steps.get(step(piece, now)));
    if (!next) return now;
    now = String(next);
  }
}
