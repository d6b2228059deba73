// Tells the page that its trackday has moved.
//
// An element with data-live (the day's address) and data-revision (what the page shows)
// is enough. On news the body gets a "moved" event; whatever shows something of the day
// fetches itself: hx-trigger="moved from:body". A stream that cannot be had is replaced by
// asking every few seconds; sleep and lost messages heal by the revision.

const POLL_MS = 5000;
const place = document.querySelector("[data-live]");

let shown = Number(place?.dataset.revision ?? -1);
let poll = 0;

function heard(revision) {
  if (!(revision > shown)) return;
  shown = revision;
  document.body.dispatchEvent(new CustomEvent("moved", { detail: { revision } }));
}

async function ask() {
  try {
    const answer = await fetch(place.dataset.live, { headers: { Accept: "application/json" } });
    if (answer.ok) heard((await answer.json()).revision);
  } catch {
    // No network: the next round asks again.
  }
}

function listen() {
  const source = new EventSource(place.dataset.live);
  source.addEventListener("moved", (event) => {
    clearInterval(poll);
    poll = 0;
    heard(Number(event.data));
  });
  source.addEventListener("error", () => {
    if (!poll) poll = setInterval(ask, POLL_MS);
  });
  window.addEventListener("pagehide", () => source.close());
}

if (place) {
  listen();
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) ask();
  });
  window.addEventListener("online", ask);
}
