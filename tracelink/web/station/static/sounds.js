// The four sounds of a verdict, made in the browser: no file is loaded. They differ by number, height and length.
// @ts-check

/** @typedef {{hertz: number, seconds: number, shape: OscillatorType}} Tone */

/** @type {Record<string, Tone[]>} */
const TONES = {
  MATCH: [{ hertz: 988, seconds: 0.12, shape: "sine" }],
  NEXT: [{ hertz: 523, seconds: 0.06, shape: "triangle" }],
  DONE: [
    { hertz: 659, seconds: 0.1, shape: "sine" },
    { hertz: 880, seconds: 0.14, shape: "sine" },
  ],
  STOP: [
    { hertz: 196, seconds: 0.16, shape: "square" },
    { hertz: 196, seconds: 0.16, shape: "square" },
    { hertz: 147, seconds: 0.3, shape: "square" },
  ],
};
const BETWEEN_S = 0.05;
const REST_MS = 4000; // Longer than between two discs, so that a packer at work hears each without delay.
// A browser computes sound in blocks of this length: the shortest, which it takes by itself, cost it as much as all else of a
// scan, and nobody hears a twentieth of a second.
const BLOCK_S = 0.05;
const KEPT_AS = "runout-loudness";

/** @type {AudioContext | undefined} */
let context;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let resting;

/** Returns 0 (silent) to 100. */
export function loudness() {
  const kept = Number(localStorage.getItem(KEPT_AS) ?? 60);
  return Number.isFinite(kept) ? Math.min(100, Math.max(0, kept)) : 60;
}

/** @param {number} percent */
export function setLoudness(percent) {
  localStorage.setItem(KEPT_AS, String(percent));
}

/** Makes what sounds are made with: a browser takes a tenth of a second for it, which no verdict is to wait for. */
export function makeReady() {
  context ??= new AudioContext({ latencyHint: BLOCK_S });
  restSoon(context);
}

/**
 * Lets what sounds are made with rest once nothing has sounded for a while: as long as it runs a browser computes silence
 * hundreds of times a second, on every tablet all shift long.
 * @param {AudioContext} made
 */
function restSoon(made) {
  clearTimeout(resting);
  resting = setTimeout(() => made.suspend().catch(() => undefined), REST_MS);
}

/**
 * @param {string} word of a verdict
 * @param {boolean} half whether the unit has some of its pieces and not all: then it is softer and lower
 */
export function sound(word, half = false) {
  const tones = TONES[word];
  if (!tones) return;
  document.body.dataset.sounded = half ? `${word} half` : word;
  const gain = loudness() / 100;
  if (gain === 0) return;
  context ??= new AudioContext({ latencyHint: BLOCK_S });
  // A browser keeps sound back until somebody has touched the page or a key.
  if (context.state === "suspended") context.resume().catch(() => undefined);
  restSoon(context);
  let at = context.currentTime;
  for (const tone of tones) {
    const source = context.createOscillator();
    const level = context.createGain();
    source.type = tone.shape;
    source.frequency.value = half ? tone.hertz / 2 : tone.hertz;
    level.gain.setValueAtTime(gain * (half ? 0.5 : 1), at);
    level.gain.setTargetAtTime(0, at + tone.seconds, 0.01);
    source.connect(level).connect(context.destination);
    source.start(at);
    source.stop(at + tone.seconds + 0.08);
    at += tone.seconds + BETWEEN_S;
  }
}

/** Plays all four, one after the other. */
export function soundAll() {
  Object.keys(TONES).forEach((word, place) => setTimeout(() => sound(word), place * 1000));
}
