// Sends the kept acts one at a time, in the order in which they were entered.
//
// Only an answer of the server removes an act. Whether there is network is known from the last
// attempt, not from the browser.

import * as store from "./store.js";

const ANSWER_WAIT_MS = 20000;
const RETRY_MS = [2000, 5000, 10000, 30000];

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
// Ids of acts that htmx is posting at this moment.
export const direct = new Set();
// Acts of plain forms on the page that is open, by id: posted to their own page, whose answer
// says where to go next. Of a form that is done with, only what was kept is sent.
export const pages = new Map();
const ADDRESS = "/tablet/act/";
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
  return fetch(url, { credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout(ANSWER_WAIT_MS), ...options });
}

// Asks who is who and what time it is. False: the server was not reached.
export async function hello() {
  const before = Date.now();
  try {
    const answer = await fetchOnce("/tablet/hello/", { headers: { Accept: "application/json" } });
    if (answer.status === 410) {
      await wipeAndLeave();
      return false;
    }
    if (!answer.ok) throw new Error(String(answer.status));
    const said = await answer.json();
    offset = (Date.parse(said.now) - (before + Date.now()) / 2) / 1000;
    localStorage.setItem("server-offset", offset); // for the clock of kept pages (countdown.js)
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

async function wipeAndLeave() {
  // The server's answer also clears the site's data; either may happen first.
  await store.wipe().catch(() => null);
  location.replace("/tablet/");
}

// If another tab is sending, this one does nothing and waits for its messages.
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
  if (left || !reached) timer = setTimeout(flush, RETRY_MS[Math.min(failures, RETRY_MS.length - 1)]);
}

// True: answered, the next may follow.
async function send(act, again = true) {
  let answer;
  try {
    // Before acts had kinds, a tablet kept the address of a page, and the fields of its form.
    const page = act.url ? act : pages.get(act.id);
    const body = page ? formOf(page.fields) : bodyOf(act);
    answer = await fetchOnce(page?.url ?? ADDRESS, { method: "POST", headers: headersOf(act), body });
  } catch {
    return unreached();
  }
  if (answer.status === 410) {
    await wipeAndLeave();
    return false;
  }
  const said = await answer.json().catch(() => null);
  // The answer broke off, or comes from a network that asks for a sign-in of its own.
  if (!said && answer.status < 400) return unreached();
  if (!said) return keepAfterFault(act, answer.status);
  if (said.outcome === "sign in") {
    state.signIn = act.author.name;
    return false;
  }
  if (said.outcome === "out of turn" && again) {
    nextSeq = said.next_seq;
    return send(act, false);
  }
  if (said.outcome === "try again" && again) return (await hello()) && send(act, false);
  if (!["applied", "unplaced", "refused"].includes(said.outcome)) return keepAfterFault(act, answer.status);
  if (!said.already && nextSeq !== null) nextSeq += 1;
  await removeOrRefuse(act, said);
  return true;
}

function unreached() {
  state.reached = false;
  return false;
}

async function removeOrRefuse(act, said) {
  pages.delete(act.id);
  if (said.outcome === "refused") await refuse(act, said.text);
  else await store.forget(act.n);
  tellAll({ answered: act.id, outcome: said.outcome, text: said.text, next: said.next });
}

// The act stays with its reason until a person amends it or takes it back.
async function refuse(act, text) {
  const refused = { ...act, state: "refused", text };
  await store.change(refused).catch(() => null); // a full disk: it is asked again, and refused again
}

// The server failed. The act is kept, and the page says so.
async function keepAfterFault(act, status) {
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

function bodyOf({ kind, version, payload, trackday, files }) {
  const act = JSON.stringify({ kind, version, payload, trackday });
  return formOf([["act", act], ...Object.entries(files)]);
}

function formOf(fields) {
  const body = new FormData();
  for (const [name, value] of fields) body.append(name, value);
  return body;
}
