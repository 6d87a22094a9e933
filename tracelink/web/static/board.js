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

changes.onmessage = () => refresh().catch(() => tell(true));
changes.onerror = () => tell(true);
