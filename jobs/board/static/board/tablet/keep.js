// Keeps the pages of the day for hours without network: the service worker stores whatever
// is fetched, so it is enough to fetch, slowly, one after another.

import { state } from "./queue.js";
import { noted, note } from "./store.js";

const AGAIN_MS = 10 * 60 * 1000;
let controlled = Boolean(navigator.serviceWorker?.controller);
let busy = false;

const sleep = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// Fetches, then rests half as long as that took: somebody else needs the line too.
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
    const round = await begun();
    if (!round.done) await walk(round);
  } catch {
    // The network went: what was kept so far is kept, the rest comes next time.
  } finally {
    busy = false;
  }
}

// The round under way; a new one for another day, for other hands, and every ten minutes.
// Somebody who works leaves each page soon: the next page goes on where this one stopped.
async function begun() {
  const last = await noted("kept-day");
  const same = last?.day === state.day?.id && last?.who === state.person.id;
  if (same && Date.now() - last.at < AGAIN_MS) return last;
  const answer = await fetch("/tablet/pages/", { headers: { Accept: "application/json" } });
  const since = Date.parse(answer.headers.get("date")); // by the server's clock, as pages are dated
  const { pages, tags } = await answer.json();
  navigator.serviceWorker.controller?.postMessage({ tags });
  const round = { at: Date.now(), since, day: state.day?.id, who: state.person.id, pages, done: false };
  await note("kept-day", round);
  return round;
}

// All pages first, then what they open: a bike's sheet is worth more than its panels.
async function walk(round) {
  const panels = new Set();
  for (const page of round.pages) {
    const text = (await keptSince(page, round.since)) || (await fetchGently(page, { Accept: "text/html" }));
    for (const panel of opened(text, page)) panels.add(panel);
  }
  for (const panel of panels) {
    if (!(await keptSince(fragment(panel), round.since))) await fetchGently(panel, { "HX-Request": "true" });
  }
  await note("kept-day", { ...round, done: true, panels: panels.size });
  navigator.serviceWorker.controller?.postMessage("day kept");
}

// The panels a tap on this page opens.
function opened(text, url) {
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

// A newer version keeps its own pages: from now on, all of them again. The first is no newer one.
navigator.serviceWorker?.addEventListener("controllerchange", async () => {
  if (controlled) await note("kept-day", null);
  controlled = true;
  keepDay();
});
