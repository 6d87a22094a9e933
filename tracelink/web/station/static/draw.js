// Puts what the server said onto the screen; knows no rule of any station.
// @ts-check

/**
 * @typedef {{raw: string, word: string, meaning: string}} Button
 * @typedef {{title: string, edition: string, number: string}} Unit
 * @typedef {{word: string, first: string, sentence: string, count: string, finding: string, hides: boolean,
 *   part: {done: number, of: number, told: string} | null, panel: string[]}} Verdict
 * @typedef {{acts: Button[], reasons: Button[], unfinished: boolean, awaited: string, keyed: string[],
 *   units: Unit[]}} Beside
 * @typedef {{number: number, booked: boolean, verdict: Verdict, beside?: Beside, note?: string, token?: string,
 *   before?: boolean}} Said
 */

const FEW_ACTS = 4;
const LONG = 60; // Characters that fill the room of an instruction in its largest letters.

/** @type {Record<string, string>} */
const THINGS = {
  action: "an action", badge: "a badge", pin: "the PIN", reason: "a reason", number: "a number", text: "a text",
  tool: "a tool tag", lot: "a lot card", material: "a lot of material", spindle: "a spindle card",
  sample: "a sample tag", disc: "a disc", sleeve: "a sleeve", item: "an item", "sleeve-batch": "a sleeve batch",
  carton: "a carton label", pallet: "a pallet label", "carton-or-pallet": "a carton or pallet label", order: "an order",
  shipment: "a shipment", equipment: "a tag of equipment", step: "a step card", "part-lot": "a part lot card",
  reel: "a reel label", slot: "a slot tag", build: "a build order card", unit: "a serial label", location: "a location",
  hold: "a hold", any: "any code",
};

/**
 * @param {string} id
 * @returns {HTMLElement}
 */
export function at(id) {
  return /** @type {HTMLElement} */ (document.getElementById(id));
}

/**
 * Says a text. One that stands there already is left alone: a browser would work out its place anew.
 * @param {string} id
 * @param {string} text
 */
export function say(id, text) {
  const box = at(id);
  if (box.textContent !== text) box.textContent = text;
}

/** @param {Verdict} verdict */
export function showVerdict(verdict) {
  const { word, part } = verdict;
  at("verdict").dataset.word = word;
  document.body.dataset.word = word;
  // A half set is painted only as far as it is done.
  at("verdict").dataset.half = part ? "yes" : "no";
  at("verdict").style.setProperty("--part", part ? `${(100 * part.done) / part.of}%` : "100%");
  say("word", word);
  say("part", part ? part.told : "");
  say("first", verdict.first);
  at("first").dataset.long = verdict.first.length > LONG ? "yes" : "no";
  say("sentence", verdict.sentence);
  say("count", verdict.count);
  list("lines", verdict.panel);
}

/**
 * @param {Beside} beside
 * @param {(raw: string) => void} took is given the line of a card that was touched
 */
export function showBeside(beside, took) {
  list("units", beside.units.map((unit) => [unit.title, unit.edition, unit.number].filter(Boolean).join(", ")));
  at("packed").hidden = beside.units.length === 0;
  use("#awaited use", `#thing-${beside.awaited}`);
  say("waits", `Waits for ${THINGS[beside.awaited]}`);
  at("awaited").hidden = false;
  acts(beside, took);
  buttons("reasons", beside.reasons, took);
  at("pad").hidden = !beside.keyed.some((each) => each !== "text");
  at("text").hidden = !beside.keyed.includes("text");
}

/**
 * Of many acts that would put an unfinished one away the first stays in sight, so that what it asks for has the room.
 * @param {Beside} beside
 * @param {(raw: string) => void} took
 */
function acts(beside, took) {
  const folds = beside.unfinished && beside.acts.length > FEW_ACTS;
  const inSight = folds ? 1 : beside.acts.length;
  buttons("acts", beside.acts.slice(0, inSight), took);
  buttons("others", beside.acts.slice(inSight), took);
  const other = /** @type {HTMLDetailsElement} */ (at("other"));
  if (other.hidden) other.open = false;
  other.hidden = !folds;
}

/**
 * @param {string} big
 * @param {string} more
 * @param {boolean} shown
 */
export function away(big, more, shown) {
  const box = at("away");
  if (box.hidden && !shown) return;
  // What lies under it is out of reach of a keyboard too.
  /** @type {HTMLElement} */ (document.querySelector("main")).inert = shown;
  /** @type {HTMLElement} */ (box.querySelector(".big")).textContent = big;
  /** @type {HTMLElement} */ (box.querySelector(".more")).textContent = more;
  box.hidden = !shown;
}

/**
 * @param {string} id
 * @param {Button[]} cards
 * @param {(raw: string) => void} took
 */
function buttons(id, cards, took) {
  const told = JSON.stringify(cards);
  if (at(id).dataset.told === told) return;
  at(id).dataset.told = told;
  const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.raw : undefined;
  at(id).replaceChildren(...cards.map((card) => {
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.raw = card.raw;
    button.append(item("strong", card.word), item("span", card.meaning));
    button.addEventListener("click", () => took(card.raw));
    return button;
  }));
  // Whoever works by keyboard stays where they were.
  if (focused) at(id).querySelectorAll("button").forEach((one) => one.dataset.raw === focused && one.focus());
}

/**
 * @param {string} tag
 * @param {string} text
 */
function item(tag, text) {
  const made = document.createElement(tag);
  made.textContent = text;
  return made;
}

/**
 * Shows texts as a list, and leaves alone those that stand there already.
 * @param {string} id
 * @param {string[]} texts
 */
function list(id, texts) {
  const shown = at(id).children;
  while (shown.length > texts.length) shown[texts.length].remove();
  texts.forEach((text, place) => {
    if (place === shown.length) at(id).append(item("li", text));
    else if (shown[place].textContent !== text) shown[place].textContent = text;
  });
}

/**
 * @param {string} where
 * @param {string} drawing
 */
function use(where, drawing) {
  const shown = document.querySelector(where);
  if (shown?.getAttribute("href") !== drawing) shown?.setAttribute("href", drawing);
}
