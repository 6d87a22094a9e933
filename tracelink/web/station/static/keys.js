// A scanner types like a keyboard, without any field having the focus: what comes up to Enter is one line.
// @ts-check

const SEPARATOR = "\x1d";
const DOUBLE_ENTER_MS = 300;

/**
 * @param {(line: string) => void} took is given each line
 * @param {(soFar: string) => void} shows is given what was typed so far, but at the end of a line: what came of it shows that
 */
export function listen(took, shows) {
  let line = "";
  let ended = -Infinity;

  /** @param {string} now */
  function become(now) {
    line = now;
    shows(line);
  }

  document.addEventListener("keydown", (event) => {
    if (isField(event.target)) return;
    if (event.key === "Enter") {
      // Some scanners end a line with two: the second must not press a button that has the focus.
      if (line || event.timeStamp - ended < DOUBLE_ENTER_MS) event.preventDefault();
      if (!line) return;
      const whole = line;
      ended = event.timeStamp;
      line = "";
      took(whole);
      return;
    }
    const typed = characterOf(event);
    if (typed) {
      // A blank inside a line is no press of a button.
      if (typed !== " " || line) {
        event.preventDefault();
        become(line + typed);
      }
    } else if (event.key === "Escape") {
      become("");
    } else if (event.key === "Backspace" && line) {
      event.preventDefault();
      become(line.slice(0, -1));
    }
  });
}

/**
 * @param {KeyboardEvent} event
 * @returns {string} one character, or none
 */
function characterOf(event) {
  // What a keyboard has for character 29, the GS1 separator.
  if (event.ctrlKey && !event.altKey && event.key === "]") return SEPARATOR;
  const isSign = !event.metaKey && (event.getModifierState("AltGraph") || !(event.ctrlKey || event.altKey));
  return isSign && [...event.key].length === 1 ? event.key : "";
}

/** @param {EventTarget | null} target */
function isField(target) {
  return target instanceof HTMLInputElement && target.type !== "range" && target.type !== "file";
}
