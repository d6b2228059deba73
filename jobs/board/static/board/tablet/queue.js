// Sends what is kept, in the order it was entered, one at a time, until it is answered.
//
// Only an answer of the server removes an act. Whether there is network is never asked of
// the browser: only what came of the last attempt counts.

import * as store from "./store.js";

const PATIENCE_MS = 20000;
const AGAIN_MS = [2000, 5000, 10000, 30000];

export const state = {
  reached: null, // null: not tried yet
  person: null, // whom the server takes this browser for
  device: null,
  day: null,
  signIn: "", // who must sign in before anything more can be sent
  sending: null, // { done, of } while it sends
};

const news = new EventTarget();
const channel = new BroadcastChannel("paddock-acts");
// Acts a page is posting itself at this moment, by id.
export const direct = new Set();
let csrf = "";
let offset = 0;
let nextSeq = null;
let failures = 0;
let timer = 0;
let running = null;

export function onNews(listener) {
  news.addEventListener("news", listener);
}

export function tell(detail = {}) {
  news.dispatchEvent(new CustomEvent("news", { detail }));
}

channel.addEventListener("message", (event) => tell(event.data));

function tellAll(detail) {
  tell(detail);
  channel.postMessage(detail);
}

export const token = () => csrf;

// Clock of the server minus clock of this device, in seconds.
export const clockOffset = () => offset;

async function fetchOnce(url, options = {}) {
  return fetch(url, { credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout(PATIENCE_MS), ...options });
}

// Asks who is who and what time it is. False: the server was not reached.
export async function hello() {
  const before = Date.now();
  try {
    const answer = await fetchOnce("/tablet/hello/", { headers: { Accept: "application/json" } });
    if (answer.status === 410) {
      await shutOut();
      return false;
    }
    if (!answer.ok) throw new Error(String(answer.status));
    const said = await answer.json();
    offset = (Date.parse(said.now) - (before + Date.now()) / 2) / 1000;
    csrf = said.csrf;
    nextSeq = said.next_seq;
    Object.assign(state, { reached: true, person: said.user, device: said.device, day: said.day });
    await store.note("device", said.device).catch(() => null); // a full disk stops no sending
  } catch {
    state.reached = false;
  }
  tell();
  return state.reached;
}

async function shutOut() {
  // The answer that says so also clears the site's data; either may come first.
  await store.wipe().catch(() => null);
  location.replace("/tablet/");
}

// Another tab of this tablet may be sending: then this one only waits for news.
export function flush() {
  running ??= navigator.locks
    .request("paddock-flush", { ifAvailable: true }, (lock) => (lock ? sendAll() : null))
    .finally(() => {
      running = null;
    });
  return running;
}

async function sendAll() {
  clearTimeout(timer);
  const reached = await hello();
  const waiting = (await store.kept()).filter((act) => act.state === "unsent" && !direct.has(act.id));
  state.signIn = "";
  let done = 0;
  let going = reached;
  for (const act of waiting) {
    if (!going) break;
    state.sending = { done, of: waiting.length };
    tell();
    const claimed = await store.claim(act.n).catch(() => store.one(act.n)); // a full disk stops no sending
    if (!claimed) continue;
    going = await send(claimed);
    if (going) done += 1;
  }
  state.sending = null;
  failures = reached && going ? 0 : failures + 1;
  tellAll({ sent: done });
  const left = (await store.kept()).some((act) => act.state === "unsent");
  if (left || !reached) timer = setTimeout(flush, AGAIN_MS[Math.min(failures, AGAIN_MS.length - 1)]);
}

// True: answered, the next may follow.
async function send(act, again = true) {
  let answer;
  try {
    answer = await fetchOnce(act.url, { method: "POST", headers: headersOf(act), body: bodyOf(act) });
  } catch {
    return unreached();
  }
  if (answer.status === 410) {
    await shutOut();
    return false;
  }
  const said = await answer.json().catch(() => null);
  // An answer that broke off, or that of a network which wants a sign-in of its own first.
  if (!said && answer.status < 400) return unreached();
  if (!said) return trouble(act, answer.status);
  if (said.outcome === "sign in") {
    state.signIn = act.author.name;
    return false;
  }
  if (said.outcome === "out of turn" && again) {
    nextSeq = said.next_seq;
    return send(act, false);
  }
  if (said.outcome === "try again" && again) return (await hello()) && send(act, false);
  if (!["applied", "unplaced", "refused"].includes(said.outcome)) return trouble(act, answer.status);
  if (!said.already && nextSeq !== null) nextSeq += 1;
  await settle(act, said);
  return true;
}

function unreached() {
  state.reached = false;
  return false;
}

async function settle(act, said) {
  if (said.outcome === "refused") await refuse(act, said.text);
  else await store.forget(act.n);
  tellAll({ answered: act.id, outcome: said.outcome, text: said.text, next: said.next });
}

// It stays, with its reason, until a person amends it or takes it back.
async function refuse(act, text) {
  const refused = { ...act, state: "refused", text };
  await store.change(refused).catch(() => null); // a full disk: it is asked again, and refused again
}

// The server is there but could not take it: nothing is dropped, a person sees it.
async function trouble(act, status) {
  const text = interpolate(gettext("The server could not take it (%s). It is sent again by itself."), [status]);
  await store.change({ ...act, tried: true, text }).catch(() => null);
  return false;
}

function headersOf(act) {
  const headers = {
    Accept: "application/json",
    "X-CSRFToken": csrf,
    "X-Act-Id": act.id,
    "X-Act-At": act.at,
    "X-Act-Offset": String(act.offset ?? offset),
    "X-Act-User": act.author.username,
  };
  if (act.author.pass) headers["X-Act-Pass"] = act.author.pass;
  if (nextSeq !== null) headers["X-Act-Seq"] = String(nextSeq);
  return headers;
}

function bodyOf(act) {
  const body = new FormData();
  for (const [name, value] of act.fields) body.append(name, value);
  return body;
}
