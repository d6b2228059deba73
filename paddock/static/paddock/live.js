// Tells the page that its trackday has changed.
//
// An element with data-live (the day's address) and data-revision (what the page shows)
// is enough. At a newer revision the body gets a "moved" event, and every part of the page that
// shows something of the day is fetched again: hx-trigger="moved from:body". Where the stream
// cannot be opened, the revision is asked for every few seconds. The revision also tells what
// was missed while the device slept or a message was lost.

const POLL_MS = 5000;
const place = document.querySelector("[data-live]");

let shown = Number(place?.dataset.revision ?? -1);
let poll = 0;

function received(revision) {
  if (!(revision > shown)) return;
  shown = revision;
  document.body.dispatchEvent(new CustomEvent("moved", { detail: { revision } }));
}

async function askNow() {
  try {
    const answer = await fetch(place.dataset.live, { headers: { Accept: "application/json" } });
    if (answer.ok) received((await answer.json()).revision);
  } catch {
    // No network: it is asked again after POLL_MS.
  }
}

function listen() {
  const source = new EventSource(place.dataset.live);
  source.addEventListener("moved", (event) => {
    clearInterval(poll);
    poll = 0;
    received(Number(event.data));
  });
  source.addEventListener("error", () => {
    if (!poll) poll = setInterval(askNow, POLL_MS);
  });
  window.addEventListener("pagehide", () => source.close());
}

if (place) {
  listen();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) askNow();
  });
  window.addEventListener("online", askNow);
}
