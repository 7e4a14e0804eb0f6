// Sounds of the glue-up, made here: a knock on wood, and a long low tone. Vibration mirrors them.
"use strict";

const KNOCK_S = 0.09, APART_S = 0.28, LOW_S = 1.6;

export function makeSound({ muted, told }) {
  let heard = null;
  const sound = { state: window.AudioContext ? "untouched" : "none" };

  function tone(hertz, from, lasts, loud, shape) {
    const source = heard.createOscillator(), volume = heard.createGain();
    source.type = shape;
    source.frequency.setValueAtTime(hertz, from);
    if (lasts <= KNOCK_S) source.frequency.exponentialRampToValueAtTime(hertz / 2, from + lasts);
    volume.gain.setValueAtTime(loud, from);
    volume.gain.exponentialRampToValueAtTime(0.001, from + lasts);
    source.connect(volume).connect(heard.destination);
    source.start(from);
    source.stop(from + lasts);
  }

  // A browser allows sound only after a touch, and stops it while the phone sleeps.
  sound.wake = () => {
    try {
      heard ??= new AudioContext();
      if (heard.state !== "running") heard.resume().catch(() => {});
      sound.state = "awake";
    } catch {
      sound.state = "none";
    }
    told();
  };
  sound.resume = () => { if (heard) sound.wake(); };
  sound.ready = () => Boolean(heard) || muted() || sound.state === "none";
  sound.knock = (times) => {
    navigator.vibrate?.(Array.from({ length: 2 * times - 1 }, (_, n) => (n % 2 ? 160 : 60)));
    if (muted() || !heard) return;
    for (let n = 0; n < times; n += 1) tone(740, heard.currentTime + n * APART_S, KNOCK_S, 0.7, "triangle");
  };
  sound.low = () => {
    navigator.vibrate?.(1000 * LOW_S);
    if (!muted() && heard) tone(165, heard.currentTime, LOW_S, 0.6, "triangle");
  };
  return sound;
}
