// The server says that something changed; the page then fetches itself anew and puts in what it says.
// @ts-check
"use strict";

const connection = /** @type {HTMLElement} */ (document.getElementById("connection"));
const changes = new EventSource("/board/changes" + location.search);

/** @param {boolean} lost */
function tell(lost) {
  connection.hidden = !lost;
}

async function refresh() {
  const answer = await fetch(location.href);
  if (!answer.ok) {
    tell(true);
    return;
  }
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of ["main > section", ".imprint"]) {
    const now = document.querySelectorAll(part);
    fresh.querySelectorAll(part).forEach((one, place) => now[place]?.replaceWith(one));
  }
  tell(false);
}

const SILENT_MS = 10000; // Five times the server did not say that nothing changed.
let heard = performance.now();

function change() {
  heard = performance.now();
  refresh().catch(() => tell(true));
}

changes.onmessage = change;
changes.addEventListener("same", () => {
  if (connection.hidden) heard = performance.now();
  else change();
});
changes.onerror = () => tell(true);
setInterval(() => performance.now() - heard > SILENT_MS && tell(true), 2000);
