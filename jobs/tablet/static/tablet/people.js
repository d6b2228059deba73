// Who uses the tablet. On an enrolled tablet several people sign in during a day, each once by
// PIN. Passing the tablet on needs no network after that.

import * as store from "./store.js";
import { hello, state, token } from "./queue.js";

// Everybody who signed in on this tablet, with their pass.
export const known = async () => (await store.noted("people")) ?? [];

// Whose acts are entered now: the one who took the tablet, else who is signed in.
export async function author() {
  const taken = await store.noted("author");
  if (taken) return taken;
  const person = state.person ?? (await store.noted("person"));
  return person ? { id: person.id, username: person.username, name: person.name } : null;
}

export async function remember() {
  if (!state.person) return;
  await store.note("person", state.person).catch(() => null); // a full disk: asked again next time
  const taken = await store.noted("author");
  if (taken && !state.device) await store.note("author", null).catch(() => null);
}

// Signs in by PIN. Returns an error in words, or nothing.
export async function signIn(user, pin) {
  const answer = await post("/tablet/pin/", { user, pin });
  if (!answer) return gettext("There is no network. Only who signed in today can take the tablet now.");
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) return said.error ?? gettext("That did not work. Please try again.");
  const others = (await known()).filter((person) => person.id !== said.id);
  await store.note("people", [...others, said]);
  await store.note("author", said);
  await renew(said);
  return "";
}

// A new pass also serves the acts this person entered under the old one.
async function renew(person) {
  for (const act of await store.kept()) {
    if (act.author.id === person.id) await store.change({ ...act, author: person });
  }
}

// Takes the tablet over; the server is told as soon as it is reached.
export async function takeOver(person) {
  await store.note("author", person);
  await signOver();
}

// Signs the session over to the person who took the tablet.
export async function signOver() {
  const taken = await store.noted("author");
  if (!taken?.pass || !state.reached || state.person?.id === taken.id) return;
  const answer = await post("/tablet/switch/", { pass: taken.pass });
  if (answer?.status === 401) {
    state.signIn = taken.name;
    await store.note("people", (await known()).filter((person) => person.id !== taken.id));
  }
  if (answer?.ok) await hello();
}

async function post(url, fields) {
  if (!token() && !(await hello())) return null;
  const body = new FormData();
  for (const [name, value] of Object.entries(fields)) body.append(name, value);
  const headers = { Accept: "application/json", "X-CSRFToken": token() };
  return fetch(url, { method: "POST", headers, body, credentials: "same-origin" }).catch(() => null);
}
