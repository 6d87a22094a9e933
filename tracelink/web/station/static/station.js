// A station in a browser: sends what is scanned, touched or keyed, and shows what the server says.
//
// It is in one of these phases, which stands on the body:
//   opening    it asks for the station
//   open       scans are sent, one after the other, each with the number it will have
//   elsewhere  another page or a terminal has the station; a badge takes it over from a page
//   lost       the server does not answer: nothing is taken, and the whole screen says so
//   refused    this page may not be the station
// @ts-check

import { Channel } from "/channel.js";
import { at, away, say, showBeside, showVerdict } from "/draw.js";
import { listen } from "/keys.js";
import { loudness, makeReady, setLoudness, sound, soundAll } from "/sounds.js";

/**
 * @typedef {import("./draw.js").Said} Said
 * @typedef {import("./channel.js").Answer} Answer
 */

const HEARD_EVERY_MS = 2000;
const SCAN_MS = 9000; // A busy ledger is waited for by the server, 5 seconds at most.
const PICTURE_MS = 60000;
const TRIES = 3;
const BETWEEN_TRIES_MS = 400;
const SETTLES_MS = 150; // Quicker than a hand finds a button: until then nothing flickers.
const NO_PICTURE_MS = 100;
const LONGEST_PICTURE = 2400; // Pixels of the longer side: a label stays readable, and the line stays free.

const code = /** @type {string} */ (document.body.dataset.code);
const here = `/station/${encodeURIComponent(code)}/`;

let token = "";
let number = 0;
let hides = false;
let keyed = "";
/** @type {{number: number, raw: string} | null} A scan whose answer has not come; of a picture without a line. */
let pending = null;
/** @type {string[]} Lines that came while one was under way. */
const waiting = [];
let isSending = false;
let isAsking = false;
/** @type {"there" | "due" | "missing"} What stands beside the verdict is of its moment, comes after it, or did not come. */
let besideIs = "missing";
let answeredAt = -Infinity; // Milliseconds since the page was opened: the last scan that was booked.
let tapped = ""; // A card that was touched while the acts of an earlier moment stood there.
let typed = "";
/** @type {ReturnType<typeof setTimeout> | undefined} */
let showsSoon;
const channel = new Channel(`${here}channel`, heard);

/** @param {string} [now] */
function phase(now) {
  if (now) document.body.dataset.phase = now;
  return document.body.dataset.phase;
}

/**
 * @param {string} what
 * @param {RequestInit} how
 * @param {number} ms
 * @returns {Promise<Answer>} rejected if the server does not answer
 */
async function ask(what, how, ms) {
  const answer = await fetch(here + what, { ...how, signal: AbortSignal.timeout(ms), credentials: "same-origin" });
  const parts = partsOf(/** @type {ReadableStream<Uint8Array>} */ (answer.body));
  const first = await parts.next();
  return { status: answer.status, said: first.value, rest: async () => (await parts.next()).value };
}

/**
 * An answer is one line, or two: the verdict at once, and what stands beside it when it is found.
 * @param {ReadableStream<Uint8Array>} body
 */
async function* partsOf(body) {
  let text = "";
  for (const reader = body.pipeThrough(new TextDecoderStream()).getReader(); ; ) {
    const { done, value } = await reader.read();
    const lines = (text + (value ?? "")).split("\n");
    text = done ? "" : /** @type {string} */ (lines.pop());
    for (const line of lines) if (line) yield JSON.parse(line);
    if (done) return;
  }
}

/**
 * @param {string} what
 * @param {object} fields
 * @param {number} [ms]
 */
function send(what, fields, ms = SCAN_MS) {
  const headers = { "Content-Type": "application/json" };
  return ask(what, { method: "POST", headers, body: JSON.stringify(fields) }, ms);
}

/** @param {string} raw */
function scanned(raw) {
  return { raw, separator: localStorage.getItem(`runout-separator-${code}`) ?? "" };
}

/** @param {Said} said */
function show(said) {
  number = said.number;
  hides = said.verdict.hides;
  keyed = "";
  showVerdict(said.verdict);
  showKeyed();
  showTyped();
  say("before", "");
  say("note", said.note ?? "");
  away("", "", false);
  document.body.dataset.number = String(number);
  if (said.beside) beside(said.beside);
  else settling();
}

/** @param {import("./draw.js").Beside} found */
function beside(found) {
  showBeside(found, touched);
  besideIs = "there";
  at("keys").ariaBusy = "false";
  delete at("keys").dataset.settling;
  document.body.dataset.ready = String(number);
  if (!tapped) return;
  const raw = tapped;
  tapped = "";
  if ([...found.acts, ...found.reasons].some((card) => card.raw === raw)) line(raw);
  else notTaken();
}

function notTaken() {
  say("before", "What you touched is not taken any more since the last scan.");
  sound("STOP");
}

/** The acts on the screen are those of an earlier moment; where it lasts, they look like it. */
function settling() {
  besideIs = "due";
  at("keys").ariaBusy = "true";
  const of = number;
  setTimeout(() => {
    if (of === number && besideIs !== "there") at("keys").dataset.settling = "yes";
  }, SETTLES_MS);
}

/** Takes the card of a button; of one that may have gone since, once it is known that it has not. @param {string} raw */
function touched(raw) {
  // What cannot be taken at all is refused at once.
  if (phase() !== "open" || (besideIs === "there" && !isSending)) line(raw);
  else tapped = raw;
}

/** Shows what was typed so far; a PIN, or what a scanner sends, as points. */
function showTyped() {
  const isShown = !hides && typed[0] !== "]";
  say("typed", isShown ? typed.slice(-60) : "\u2022".repeat(Math.min(typed.length, 12)));
}

/** Shows a sentence of the server as a verdict that stops. @param {string} sentence */
function stop(sentence) {
  showVerdict({ word: "STOP", first: sentence, sentence: "", count: "", finding: "", hides: false, part: null, panel: [] });
  sound("STOP");
}

async function open() {
  if (isAsking) return;
  isAsking = true;
  try {
    const asked = pending ? { was: token, number: pending.number, ...scanned(pending.raw) } : { was: token };
    const { status, said } = await send("open", asked);
    if (status === 200) {
      opened(said);
    } else if (status === 409) {
      notHere("elsewhere", "OPEN ELSEWHERE", said.sentence);
    } else {
      // What is wrong with the ledger may be put right: the page asks again until then.
      notHere(status >= 500 ? "lost" : "refused", "NOT OPEN", said.sentence);
    }
  } catch {
    lost();
  } finally {
    isAsking = false;
  }
}

/** @param {Said} said */
function opened(said) {
  const before = pending && (said.before ? "Your last scan was booked." : "Your last scan was not booked: scan again.");
  token = said.token ?? "";
  pending = null;
  phase("open");
  show(said);
  channel.open();
  if (before) {
    say("before", before);
    if (!said.before) sound("STOP");
  }
}

/**
 * @param {string} now
 * @param {string} big
 * @param {string} more
 */
function notHere(now, big, more) {
  phase(now);
  waiting.length = 0;
  tapped = "";
  showTyped();
  away(big, more, true);
}

function lost() {
  if (phase() !== "lost") sound("STOP");
  const unsure = pending ? " Whether your last scan was booked is told when it is back." : "";
  notHere("lost", "NO CONNECTION", `Nothing is booked. Stop, and put nothing more in.${unsure}`);
}

/** Refuses a line aloud. */
function refuse() {
  sound("STOP");
  const box = at("away");
  box.classList.remove("again");
  void box.offsetWidth; // Read, so that the browser starts the movement anew.
  box.classList.add("again");
}

/** Takes a line that was scanned, keyed or touched. @param {string} raw */
function line(raw) {
  if (phase() === "open") {
    waiting.push(raw);
    pump();
  } else if (phase() === "elsewhere") {
    take(raw);
  } else {
    refuse();
  }
}

async function pump() {
  if (isSending) return;
  isSending = true;
  for (let raw = waiting.shift(); raw !== undefined; raw = waiting.shift()) {
    pending = { number: number + 1, raw };
    const asked = { token, number: pending.number, ...scanned(raw) };
    // A scan that got no answer by the open line is sent again as a request.
    await settle((tries) => (tries === 1 && channel.isOpen ? channel.send(asked, SCAN_MS) : send("scan", asked)));
  }
  isSending = false;
}

/**
 * Sends a scan until it is answered; a scan that is sent again has the same number, so that it is booked once.
 * @param {(tries: number) => Promise<Answer>} sending
 */
async function settle(sending) {
  for (let tries = 1; ; tries += 1) {
    try {
      await answered(await sending(tries));
      return;
    } catch {
      if (tries === TRIES) {
        lost();
        return;
      }
      await new Promise((done) => setTimeout(done, BETWEEN_TRIES_MS));
    }
  }
}

/** @param {Answer} answer */
async function answered({ status, said, rest }) {
  if (status === 200) {
    pending = null;
    answeredAt = performance.now();
    show(said);
    sound(said.verdict.word, said.verdict.part !== null);
    follows(rest);
  } else if (status === 410) {
    // Opened elsewhere, or the server was started again: whether the scan was booked is told with the opening.
    waiting.length = 0;
    phase("opening");
    await open();
  } else {
    pending = null;
    waiting.length = 0;
    tapped = "";
    showTyped();
    stop(said.sentence);
  }
}

/**
 * Shows what stands beside a verdict, in a picture of its own: the verdict is not to wait for it. If it does not come, the page
 * asks where the station stands; if the next scan is under way, that one brings it.
 * @param {() => Promise<any>} rest
 */
async function follows(rest) {
  const of = number;
  let found;
  try {
    [found] = await Promise.all([rest(), pictured()]);
  } catch {
    // The verdict is there: the scan is not sent again for this.
  }
  if (of !== number || besideIs !== "due") return;
  if (found) beside(found);
  else besideIs = "missing";
}

/** Waits until what was changed is in a picture, or for a while: a page that nobody sees is not drawn. */
function pictured() {
  return new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    setTimeout(done, NO_PICTURE_MS);
  });
}

/** Scans a badge, or its PIN, at a station that is open in another page. @param {string} raw */
async function take(raw) {
  try {
    const { status, said } = await send("take", scanned(raw));
    if (status !== 200) {
      notHere(status === 403 ? "elsewhere" : "refused", "OPEN ELSEWHERE", said.sentence);
      sound("STOP");
    } else if (said.token) {
      opened(said);
      sound(said.verdict.word);
    } else {
      hides = said.verdict.hides;
      notHere("elsewhere", said.verdict.word, `${said.verdict.first} ${said.verdict.sentence}`);
      sound(said.verdict.word);
    }
  } catch {
    lost();
  }
}

/** A scan that was answered just now said what `heard` asks: at a busy floor the request would only be in the way of the scans of others. */
async function beat() {
  if (phase() === "open" && besideIs !== "missing" && performance.now() - answeredAt < HEARD_EVERY_MS) return;
  await heard();
}

/** Lets the server know that this page is there, and finds out whether it still has the station. */
async function heard() {
  if (isSending || isAsking) return;
  if (phase() !== "open") {
    if (phase() !== "refused") await open();
    return;
  }
  const asked = number;
  try {
    const { status, said } = await ask(`heard?token=${encodeURIComponent(token)}`, {}, HEARD_EVERY_MS + 1000);
    if (status === 200 && channel.isBroken) channel.open();
    // What is told of before a scan must not take its verdict off the screen.
    if (isSending || number !== asked) return;
    // Opened elsewhere, or the server was started again, or its ledger is in trouble: opening says which.
    if (status === 410 || status >= 500) await open();
    else if (status === 200 && (besideIs === "missing" || said.number !== number)) await stands();
  } catch {
    if (!isSending) lost();
  }
}

async function stands() {
  const asked = number;
  const { status, said } = await ask(`stands?token=${encodeURIComponent(token)}`, {}, SCAN_MS);
  if (status !== 200 || isSending || number !== asked) return;
  // What the last scan led to stays on the screen.
  if (said.number === number) beside(said.beside);
  else show(said);
}

function showKeyed() {
  say("number", hides ? "\u2022".repeat(keyed.length) : keyed);
}

/** @param {string} digit */
function pressed(digit) {
  if (digit === "send") {
    if (keyed) line(`#${keyed}`);
    keyed = "";
  } else {
    keyed = digit === "back" ? keyed.slice(0, -1) : (keyed + digit).slice(0, 9);
  }
  showKeyed();
}

/** @param {File} file */
async function photographed(file) {
  if (phase() !== "open" || isSending) {
    refuse();
    return;
  }
  isSending = true;
  pending = { number: number + 1, raw: "" };
  const content = await smaller(file);
  const asked = `picture?token=${encodeURIComponent(token)}&number=${pending.number}`;
  const headers = { "Content-Type": content.type };
  await settle(() => ask(asked, { method: "POST", headers, body: content }, PICTURE_MS));
  isSending = false;
  pump();
}

/**
 * @param {File} file
 * @returns {Promise<Blob>} the picture with at most LONGEST_PICTURE pixels a side; as it came if it is no picture
 */
async function smaller(file) {
  try {
    const picture = await createImageBitmap(file);
    const share = Math.min(1, LONGEST_PICTURE / Math.max(picture.width, picture.height));
    if (share === 1) return file;
    const canvas = new OffscreenCanvas(Math.round(picture.width * share), Math.round(picture.height * share));
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await canvas.convertToBlob({ type: "image/jpeg", quality: 0.92 });
  } catch {
    return file;
  }
}

listen(
  (whole) => {
    // It stays on the screen until its verdict does: one picture less to draw.
    typed = "";
    line(whole);
  },
  (soFar) => {
    typed = soFar;
    clearTimeout(showsSoon);
    // A scan is over before anybody could see it come in.
    if (soFar[0] === "]") showsSoon = setTimeout(showTyped, SETTLES_MS);
    else showTyped();
  },
);

at("digits").addEventListener("click", (event) => {
  const digit = event.target instanceof HTMLElement ? event.target.dataset.digit : undefined;
  if (digit) pressed(digit);
});

at("text").addEventListener("submit", (event) => {
  event.preventDefault();
  const field = /** @type {HTMLInputElement} */ (at("letters"));
  const text = field.value;
  field.value = "";
  field.blur();
  // A scanner may type into the field: what begins as a scan is one. Who is used to a terminal begins with the quote.
  if (text) line(text[0] === "]" || text[0] === '"' ? text : `"${text}`);
});

at("photo").addEventListener("change", async (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  const file = field.files?.[0];
  field.value = "";
  if (file) await photographed(file);
});

const loud = /** @type {HTMLInputElement} */ (at("loudness"));
loud.value = String(loudness());
loud.addEventListener("change", () => {
  setLoudness(Number(loud.value));
  sound("MATCH");
});
at("try-sounds").addEventListener("click", soundAll);

const separator = /** @type {HTMLInputElement} */ (at("separator"));
separator.value = localStorage.getItem(`runout-separator-${code}`) ?? "";
separator.addEventListener("change", () => localStorage.setItem(`runout-separator-${code}`, separator.value));

addEventListener("pagehide", () => {
  const fields = new Blob([JSON.stringify({ token })], { type: "application/json" });
  navigator.sendBeacon(`${here}leave`, fields);
});
addEventListener("pageshow", (event) => {
  // A page that the back button brought back shows a moment that is over.
  if (event.persisted) location.reload();
});

setInterval(beat, HEARD_EVERY_MS);
open().then(makeReady);
