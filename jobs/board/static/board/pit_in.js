// The pit-in cards: one bike after another, from the moment the group stands until what is read is
// no longer hot. Which group is in is decided by the day's clock on this device, by the flag tap if
// it has arrived and else by the timetable. "Next" sends what is entered on this bike, as the round
// would, and shows the next bike; what was not entered stays open in the round.

import { dayNow } from "../paddock/countdown.js";

const TOUCHED_TWICE_MS = 400;
const SEND_WAIT_MS = 4000;
const SEEN_IN_QUEUE = 3;

const page = document.querySelector("main.pit-in");
const queueBar = page.querySelector(".queue");
const foot = page.querySelector(".pit-foot");
const nextKey = foot.querySelector("[data-next]");
const none = page.querySelector(".no-card");
const hold = page.querySelector("[data-hold]");
const round = page.querySelector("[data-leave]");

let call = null; // the group that is in, as the page's calls say
let queue = []; // entries still to see, the first is shown
let late = new Set(); // those said to be not in yet
const sending = new Set(); // forms whose tick has no answer yet
let nextAt = 0;

const calls = () => JSON.parse(page.querySelector("#pit-in-calls script").textContent);
const cardOf = (entry) => page.querySelector(`.pit-card[data-entry="${entry}"]`);
const shown = () => page.querySelector(".pit-card:not([hidden])");
const plateOf = (card) => card.querySelector(".plate").innerText.replace(/\s+/g, " ").trim();

// Which bikes of a group were seen is kept in this browser for as long as the page's tab is open.
const memory = (session) => JSON.parse(sessionStorage.getItem(`pit-in-${session}`) ?? '{"seen":[],"late":[]}');

function remember() {
  const known = memory(call.session);
  const seen = call.bikes.map((bike) => bike.entry).filter((entry) => !queue.includes(entry));
  const kept = { seen: [...new Set([...known.seen, ...seen])].filter((entry) => !queue.includes(entry)), late: [...late] };
  sessionStorage.setItem(`pit-in-${call.session}`, JSON.stringify(kept));
  if (!queue.length) sessionStorage.setItem(`pit-in-over-${call.session}`, "1");
}

function due() {
  const now = dayNow();
  return calls().find((one) => Date.parse(one.from) <= now && now < Date.parse(one.until)) ?? null;
}

// A newer flag tap moves the times; the bikes of a group that is shown stay in their order.
function look() {
  const found = due();
  if (found?.session === call?.session) {
    call = found;
    return;
  }
  if (call && typedIn(shown())) return; // never under a number being typed
  const over = call && !found && queue.length;
  call = found;
  if (over) leave(); // what was not reached is in the round
  else begin();
}

function begin() {
  const known = call ? memory(call.session) : { seen: [], late: [] };
  late = new Set(known.late);
  const left = (call?.bikes ?? []).map((bike) => bike.entry).filter((entry) => cardOf(entry) && !known.seen.includes(entry));
  queue = [...left.filter((entry) => !late.has(entry)), ...left.filter((entry) => late.has(entry))];
  if (call) sessionStorage.setItem(`pit-in-opened-${call.session}`, "1");
  show();
}

function show() {
  for (const card of page.querySelectorAll(".pit-card")) card.hidden = Number(card.dataset.entry) !== queue[0];
  none.hidden = queue.length > 0;
  foot.hidden = hold.hidden = queue.length === 0;
  if (queue.length) {
    hold.href = shown().dataset.holdAt;
    prepare(shown());
    nameNext();
  }
  drawQueue();
  tick();
}

// The forms of a card are for the session that is in.
function prepare(card) {
  const { tasks } = call.bikes.find((bike) => bike.entry === queue[0]);
  const tabs = [...card.querySelectorAll("[data-tab]")];
  for (const form of card.querySelectorAll("form")) {
    form.elements.task.value = tasks[form.dataset.item] ?? "";
    form.elements.session.value = call.session;
  }
  for (const tab of tabs) tab.hidden = !tasks[tab.dataset.tab];
  const open = tabs.filter((tab) => !tab.hidden);
  card.querySelector(".tabs").hidden = open.length < 2;
  choose(card, open[0]?.dataset.tab);
}

function choose(card, item) {
  for (const tab of card.querySelectorAll("[data-tab]")) tab.setAttribute("aria-pressed", tab.dataset.tab === item);
  for (const form of card.querySelectorAll("form")) form.hidden = form.dataset.item !== item;
  const cell = card.querySelector("form:not([hidden]) .cell input");
  cell?.focus({ preventScroll: true });
  if (!cell) document.activeElement?.blur();
}

// The wide key says to which number it goes: on a phone the temperatures are not seen before.
page.addEventListener("focusin", ({ target }) => {
  const form = target.matches(".cell input") && target.form;
  const key = form && form.querySelector("[data-key='next']");
  if (!key) return;
  const cells = [...form.querySelectorAll(".cell input")];
  const after = cells[(cells.indexOf(target) + 1) % cells.length];
  key.textContent = after.closest(".cell").querySelector("[data-label]").dataset.label;
});

function nameNext() {
  const after = queue[1] && cardOf(queue[1]);
  const { withBay, without, last } = nextKey.dataset;
  const words = after ? (after.dataset.bay ? withBay : without) : last;
  nextKey.textContent = after ? words.replace("PLATE", plateOf(after)).replace("BAY", after.dataset.bay) : words;
  foot.querySelector("[data-not-in]").disabled = queue.length < 2;
}

function drawQueue() {
  const { now, bay, late: notIn, more } = queueBar.dataset;
  queueBar.replaceChildren(
    ...queue.slice(0, SEEN_IN_QUEUE).map((entry, place) => {
      const card = cardOf(entry);
      const key = document.createElement("button");
      const where = document.createElement("span");
      key.type = "button";
      key.dataset.entry = entry;
      if (place === 0) key.setAttribute("aria-current", "true");
      key.append(card.querySelector(".plate").cloneNode(true));
      key.firstChild.classList.remove("large");
      where.textContent = late.has(entry) ? notIn : card.dataset.bay ? bay.replace("BAY", card.dataset.bay) : place === 0 ? now : "";
      key.append(where);
      return key;
    }),
  );
  if (queue.length <= SEEN_IN_QUEUE) return;
  const rest = document.createElement("span");
  rest.textContent = more.replace("N", queue.length - SEEN_IN_QUEUE);
  queueBar.append(rest);
}

// What a form holds, but for what it held when it was shown or was sent last.
const contentOf = (form) =>
  JSON.stringify([...new FormData(form)].filter(([name]) => !/^(csrf|act_|task|session|entry|item|on$|unit_)/.test(name)));
const empty = new WeakMap();
for (const form of page.querySelectorAll(".pit-form")) empty.set(form, contentOf(form));
const isTyped = (form) => contentOf(form) !== empty.get(form);
const typedIn = (card) => Boolean(card) && [...card.querySelectorAll("form")].some(isTyped);

// False: a number is refused; its form is shown with what is wrong.
function send(card) {
  const typed = [...card.querySelectorAll("form")].filter(isTyped);
  const wrong = typed.find((form) => !form.checkValidity());
  if (wrong) {
    choose(card, wrong.dataset.item);
    wrong.reportValidity();
    return false;
  }
  for (const form of typed) {
    sending.add(form);
    form.requestSubmit();
  }
  return true;
}

function next() {
  if (performance.now() - nextAt < TOUCHED_TWICE_MS) return; // a glove bounces
  nextAt = performance.now();
  if (!send(shown())) return;
  late.delete(queue[0]);
  queue.shift();
  remember();
  if (queue.length) show();
  else leave();
}

function notInYet() {
  if (performance.now() - nextAt < TOUCHED_TWICE_MS) return;
  nextAt = performance.now();
  late.add(queue[0]);
  queue.push(queue.shift());
  remember();
  show();
}

// To the round, or where the bike is held, when what was entered has been answered or is kept.
async function leave(to = round.href) {
  const until = performance.now() + SEND_WAIT_MS;
  while (sending.size && performance.now() < until) await new Promise((go) => setTimeout(go, 50));
  if (!typedIn(shown())) location.assign(to);
}

// The answer to a tick: a form that was taken begins anew, one that was refused comes back.
document.addEventListener("htmx:afterRequest", ({ detail }) => {
  const sent = detail.requestConfig?.elt; // the notice with the way back has been replaced by now
  const taken = detail.successful && sent?.matches(".undo") && Number(sent.dataset.entry);
  if (taken && call?.bikes.some((bike) => bike.entry === taken)) bringForward(taken);
  const form = sent?.closest(".pit-form");
  if (!form || detail.requestConfig?.verb !== "post") return;
  sending.delete(form);
  if (detail.xhr?.getResponseHeader("X-Outcome") === "refused") comeBack(Number(form.elements.entry.value), form);
  else if (detail.successful) form.reset();
});

// Kept on the tablet: tablet/forms.js has emptied it.
document.addEventListener("reset", ({ target }) => sending.delete(target));

function comeBack(entry, form) {
  bringForward(entry);
  choose(cardOf(entry), form.dataset.item);
}

function tick() {
  look();
  const fades = page.querySelector("[data-fades]");
  const words = page.querySelector("[data-fade-words]");
  const bar = page.querySelector(".fading");
  const title = page.querySelector("#pit-title");
  bar.hidden = !call || !queue.length;
  if (!call || !queue.length) return waiting(title, fades, words);
  const now = dayNow();
  const left = Math.max(0, Date.parse(call.fades) - now);
  if (title.textContent !== call.title) title.textContent = call.title;
  fades.textContent = `${Math.floor(left / 60000)}:${String(Math.floor(left / 1000) % 60).padStart(2, "0")}`;
  fades.classList.toggle("stopword", left === 0);
  words.textContent = left ? words.dataset.hot : words.dataset.cold;
  bar.value = left / (Date.parse(call.fades) - Date.parse(call.from));
}

function waiting(title, fades, words) {
  const later = calls().find((one) => Date.parse(one.from) > dayNow());
  words.textContent = later ? words.dataset.before : "";
  fades.textContent = "";
  if (!later) return;
  const left = Date.parse(later.from) - dayNow();
  const minutes = Math.floor(left / 60000);
  title.textContent = later.coming;
  fades.textContent = `${minutes}:${String(Math.floor(left / 1000) % 60).padStart(2, "0")}`;
  const line = none.querySelector("p");
  const format = { hour: "2-digit", minute: "2-digit", hour12: false, timeZone: document.documentElement.dataset.timezone };
  line.textContent = line.dataset.nextCall.replace("AT", new Date(later.from).toLocaleTimeString([], format));
}

page.addEventListener("click", (event) => {
  const tab = event.target.closest("[data-tab]");
  const other = event.target.closest(".queue button");
  const leaving = event.target.closest("[data-leave], [data-hold]");
  if (tab) choose(shown(), tab.dataset.tab);
  else if (event.target.closest("[data-next]")) next();
  else if (event.target.closest("[data-not-in]")) notInYet();
  else if (other && Number(other.dataset.entry) !== queue[0]) bringForward(Number(other.dataset.entry));
  else if (leaving && shown() && typedIn(shown())) {
    event.preventDefault();
    if (send(shown())) leave(leaving.href);
  }
});

function bringForward(entry) {
  queue = [entry, ...queue.filter((one) => one !== entry)];
  late.delete(entry);
  remember();
  show();
}

// What the last act answered, with its way back, is seen until something is entered.
for (const moment of ["input", "change"]) {
  page.addEventListener(moment, () => document.getElementById("notices").classList.add("below"));
}

// A swipe to the left is "Next".
const SWIPE_PX = 80;
let from = null;
page.addEventListener("touchstart", ({ touches }) => {
  from = touches.length === 1 ? { x: touches[0].clientX, y: touches[0].clientY } : null;
}, { passive: true });
page.addEventListener("touchend", ({ changedTouches, target }) => {
  if (!from || !target.closest(".pit-card")) return;
  const [touch] = changedTouches;
  const across = touch.clientX - from.x;
  if (across < -SWIPE_PX && Math.abs(touch.clientY - from.y) < -across / 2) next();
}, { passive: true });

show();
setInterval(tick, 500);
