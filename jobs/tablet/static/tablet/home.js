// The tablet's own page: take it over, sign in by PIN, see what was not sent.

import * as store from "./store.js";
import * as bar from "./bar.js";
import { flush, onNews, state } from "./queue.js";
import * as people from "./people.js";
import { say } from "./say.js";

const list = document.getElementById("unsent");
const empty = document.getElementById("unsent-none");
const send = document.getElementById("send-now");
const dialog = document.getElementById("pin-dialog");
const pin = document.getElementById("pin");

async function draw() {
  const acts = await store.kept();
  list.replaceChildren(...acts.map((act) => bar.row(act)));
  empty.hidden = acts.length > 0;
  send.hidden = acts.length === 0;
  const passes = new Set((await people.known()).map((person) => person.id));
  const who = await people.author();
  for (const button of document.querySelectorAll("button[data-person]")) {
    const id = Number(button.dataset.person);
    button.setAttribute("aria-pressed", String(who?.id === id));
    button.querySelector("small").textContent = passes.has(id) ? gettext("signed in today") : gettext("PIN");
  }
}

async function choose(button) {
  const id = Number(button.dataset.person);
  const pass = (await people.known()).find((person) => person.id === id);
  if (pass) {
    await people.takeOver(pass);
    if (state.signIn) return askPin(button);
    return goOn();
  }
  return askPin(button);
}

function askPin(button) {
  dialog.dataset.person = button.dataset.person;
  dialog.querySelector("h2").textContent = button.dataset.name;
  showError("");
  dialog.showModal();
}

function showError(words) {
  pin.value = "";
  dialog.querySelector('[role="alert"]').textContent = words;
}

async function enter(event) {
  event.preventDefault();
  const words = await people.signIn(dialog.dataset.person, pin.value);
  if (words) return showError(words);
  dialog.close();
  return goOn();
}

async function goOn() {
  await flush();
  await draw();
  await bar.draw();
  if (state.reached) location.assign("/");
}

// The buttons are disabled until this script can answer their taps.
for (const button of document.querySelectorAll("button[data-person]")) {
  button.addEventListener("click", () => choose(button));
  button.disabled = false;
}
dialog?.querySelector("form").addEventListener("submit", enter);
dialog?.querySelector("[data-close]").addEventListener("click", () => dialog.close());
for (const key of document.querySelectorAll("[data-digit]")) {
  key.addEventListener("click", () => {
    pin.value += key.dataset.digit;
  });
}
send.addEventListener("click", () => flush());
// Shown in place of a page that was asked for without network (worker.js).
if (location.pathname.startsWith("/b/")) say(gettext("The bike of this tag is not kept on this tablet: it needs the network."), "refused");
else if (location.pathname !== "/tablet/") say(gettext("This page is not kept on this tablet: it needs the network."), "refused");
onNews(draw);
draw();
