// A field of the question that is changed asks it again, and the answer takes the place of the one before.
// @ts-check
"use strict";

const form = /** @type {HTMLFormElement} */ (document.getElementById("question"));
const asking = /** @type {HTMLElement} */ (document.getElementById("asking"));

/** @type {AbortController | null} */
let going = null;

async function ask() {
  if (!form.checkValidity()) {
    return;
  }
  going?.abort();
  const mine = new AbortController();
  going = mine;
  const given = [...new FormData(form)].filter(([, text]) => text !== "");
  const address = "/contain?" + new URLSearchParams(/** @type {string[][]} */ (given));
  asking.textContent = "Asking the records …";
  try {
    const answer = await fetch(address, {signal: mine.signal});
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const found = fresh.getElementById("answer");
    if (!found) {
      throw new Error("no answer");
    }
    document.getElementById("answer")?.replaceWith(found);
    const imprint = fresh.querySelector(".imprint");
    if (imprint) {
      document.querySelector(".imprint")?.replaceWith(imprint);
    }
    history.replaceState(null, "", address);
    asking.textContent = answer.ok ? "The answer below is new." : "There is no answer to this; below is why.";
  } catch (problem) {
    if (going === mine) {
      asking.textContent = "Not asked: the server does not answer. What stands below is of before.";
    }
  }
}

form.addEventListener("change", () => ask());
form.addEventListener("submit", (event) => {
  event.preventDefault();
  ask();
});
