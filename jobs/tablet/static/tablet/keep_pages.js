// Fetches the pages of the day slowly, one after another. The service worker stores each page
// that is fetched, so that they open without network.

import { state } from "./queue.js";
import { noted, note } from "./store.js";

const REPEAT_MS = 10 * 60 * 1000;
let controlled = Boolean(navigator.serviceWorker?.controller);
let busy = false;

const sleep = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// Fetches, then waits half as long as that took, so that other requests are not delayed.
async function fetchGently(url, headers) {
  const began = performance.now();
  const answer = await fetch(url, { headers: { "X-Keep": "1", ...headers } });
  const text = await answer.text();
  await sleep((performance.now() - began) / 2);
  return answer.ok ? text : "";
}

// Fetches the day's pages, and the panels they open, unless that was done lately.
export async function keepDay() {
  if (busy || !state.person || !navigator.serviceWorker?.controller) return;
  busy = true;
  try {
    const fetching = await currentFetching();
    if (!fetching.done) await fetchAll(fetching);
  } catch {
    // The network failed: the rest is fetched next time.
  } finally {
    busy = false;
  }
}

// The fetching that has begun; a new one for another day, for another person, and every ten
// minutes. The next page that opens continues where this one stopped.
async function currentFetching() {
  const last = await noted("kept-day");
  const same = last?.day === state.day?.id && last?.who === state.person.id;
  if (same && Date.now() - last.at < REPEAT_MS) return last;
  const answer = await fetch("/tablet/pages/", { headers: { Accept: "application/json" } });
  const since = Date.parse(answer.headers.get("date")); // by the server's clock, as pages are dated
  const { pages, tags } = await answer.json();
  navigator.serviceWorker.controller?.postMessage({ tags });
  const fetching = { at: Date.now(), since, day: state.day?.id, who: state.person.id, pages, done: false };
  await note("kept-day", fetching);
  return fetching;
}

// First all pages, then the panels that they open.
async function fetchAll(fetching) {
  const panels = new Set();
  for (const page of fetching.pages) {
    const text = (await keptSince(page, fetching.since)) || (await fetchGently(page, { Accept: "text/html" }));
    for (const panel of panelsOf(text, page)) panels.add(panel);
  }
  for (const panel of panels) {
    if (!(await keptSince(fragment(panel), fetching.since))) await fetchGently(panel, { "HX-Request": "true" });
  }
  await note("kept-day", { ...fetching, done: true, panels: panels.size });
  navigator.serviceWorker.controller?.postMessage("day kept");
}

// The panels a tap on this page opens.
function panelsOf(text, url) {
  const page = new DOMParser().parseFromString(text, "text/html");
  return [...page.querySelectorAll("[hx-get]:not([data-not-offline])")]
    .filter((opener) => /click|^$/.test(opener.getAttribute("hx-trigger") ?? ""))
    .map((opener) => new URL(opener.getAttribute("hx-get"), new URL(url, location.href)).href);
}

// As the service worker files it (worker.js, keyOf).
function fragment(url) {
  const key = new URL(url);
  key.searchParams.set("fragment", "1");
  return key.href;
}

// What is kept of an address since then; empty for nothing.
async function keptSince(key, since) {
  for (const name of await caches.keys()) {
    const kept = name.startsWith("day-") && (await (await caches.open(name)).match(key, { ignoreVary: true }));
    if (kept && Date.parse(kept.headers.get("date")) >= since) return kept.text();
  }
  return "";
}

// A newer version of the service worker stores its own pages: all of them are fetched again. The
// first worker of a tablet is no newer version.
navigator.serviceWorker?.addEventListener("controllerchange", async () => {
  if (controlled) await note("kept-day", null);
  controlled = true;
  keepDay();
});
