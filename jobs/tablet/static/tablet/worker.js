// The service worker: pages as they were last seen when the network does not answer.
//
// VERSION, SHELL and HOME come from /sw.js. A version has its own shell and its own pages:
// a page kept by an older one still needs the scripts of its time, so what is older is
// dropped only when a page says that the whole day has been kept again. What people entered
// lives in IndexedDB, which this never touches.

const SHELL_CACHE = `shell-${VERSION}`;
const DAY_CACHE = `day-${VERSION}`;
const ANSWER_WAIT_MS = 4000;
// Never stored: money, customers, the live stream, what the tablet asks the server, and answers
// to numbers that are still being typed.
const NEVER = /^\/(desk|my|document|api|live|theme|workbench\/(typed|[a-z-]+\/answer)|sign-in|sign-out|sw\.js|tablet\/(hello|pages|code|pin|switch|withdrawn|devices|crew))(\/|$)/;

self.addEventListener("install", (event) => {
  event.waitUntil(keepShell().then(() => self.skipWaiting()));
});

async function keepShell() {
  const cache = await caches.open(SHELL_CACHE);
  await cache.addAll(SHELL.map((url) => new Request(url, { cache: "reload" })));
}

self.addEventListener("activate", (event) => {
  event.waitUntil(self.clients.claim());
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(self.clients.claim());
  if (event.data === "day kept") event.waitUntil(dropOlder());
  if (event.data.tags) event.waitUntil(keepTags(event.data.tags));
});

// The address on a bike's tag leads to its sheet, which is kept, without network too.
async function keepTags(tags) {
  for (const [tag, sheet] of Object.entries(tags)) {
    await put(DAY_CACHE, new URL(tag, self.location).href, Response.redirect(sheet));
  }
}

async function dropOlder() {
  for (const name of await caches.keys()) {
    if (name !== SHELL_CACHE && name !== DAY_CACHE) await caches.delete(name);
  }
}

// What this version keeps of an address, else what an older one did.
async function keptOf(key) {
  for (const name of [DAY_CACHE, SHELL_CACHE]) {
    const found = await (await caches.open(name)).match(key, { ignoreVary: true });
    if (found) return found;
  }
  return caches.match(key, { ignoreVary: true });
}

// A full disk keeps nothing new; the page that was fetched is shown all the same.
async function put(name, key, answer) {
  try {
    await (await caches.open(name)).put(key, answer);
  } catch {
    // Nothing is lost: what was kept before is still there.
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/") || SHELL.includes(url.pathname)) {
    event.respondWith(fromShell(request, url));
  } else if (!NEVER.test(url.pathname) && !request.headers.get("Accept")?.includes("event-stream")) {
    event.respondWith(newestPage(request, url, event));
  }
});

async function fromShell(request, url) {
  if (url.pathname === HOME) return newestOrShell(request);
  return (await keptOf(request)) ?? fetch(request);
}

async function newestOrShell(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok) await put(SHELL_CACHE, HOME, answer.clone());
    return answer;
  } catch {
    return keptOf(HOME);
  }
}

// The network's answer if it comes in time; else what was kept; else the tablet's own page.
async function newestPage(request, url, event) {
  const key = keyOf(request, url);
  const kept = (await keptOf(key)) ?? (await keptBare(request, url));
  const fetched = fetchAndKeep(request, key);
  event.waitUntil(fetched.catch(() => null));
  try {
    const answer = await (kept ? Promise.race([fetched, timeout()]) : fetched);
    return answer.status >= 500 && kept ? kept : answer;
  } catch {
    return kept ?? (request.mode === "navigate" ? keptOf(HOME) : Response.error());
  }
}

// A page and the fragment of the same address are two things.
function keyOf(request, url) {
  if (!request.headers.get("HX-Request")) return url.href;
  const key = new URL(url);
  key.searchParams.set("fragment", "1");
  return key.href;
}

// A tap may carry what is typed around it; what was kept of it beforehand carries nothing.
async function keptBare(request, url) {
  const withoutQuery = request.headers.get("X-Kept-As");
  return withoutQuery ? keptOf(keyOf(request, new URL(withoutQuery, url))) : undefined;
}

async function fetchAndKeep(request, key) {
  const answer = await fetch(request);
  const keep = !/no-store/.test(answer.headers.get("Cache-Control") ?? "");
  if (keep && answer.ok && !answer.redirected && answer.headers.get("Content-Type")?.startsWith("text/html")) {
    await put(DAY_CACHE, key, answer.clone());
  }
  return answer;
}

function timeout() {
  return new Promise((_, reject) => {
    setTimeout(() => reject(new Error("too long")), ANSWER_WAIT_MS);
  });
}
