// The strip at the foot of every trackside page, on a phone at its head: how many acts are still
// on this tablet, who has it, and, without network, how old the page is.

import * as store from "./store.js";
import { onNews, state, tell } from "./queue.js";
import { author } from "./people.js";
import { bikeOf } from "./act_record.js";
import { address } from "./amend.js";
import { say, sayCarried } from "./say.js";
import { markTasks } from "./done_tasks.js";

const bar = document.createElement("aside");
bar.className = "tabletbar";
bar.setAttribute("aria-label", gettext("This tablet"));
const status = document.createElement("a");
status.href = "/tablet/";
status.textContent = gettext("This tablet"); // until it is known what is on it
const age = document.createElement("span");
age.className = "age";
age.setAttribute("role", "status");
bar.append(status, age);

const rows = document.createElement("ul");
rows.className = "rows tabletrows";
rows.setAttribute("aria-label", gettext("On this tablet, not sent yet"));

export function start() {
  document.querySelector("header").after(bar);
  document.getElementById("notices")?.after(rows);
  sayCarried();
  onNews(({ detail }) => {
    if (detail.answered && detail.outcome !== "applied") say(detail.text, detail.outcome);
    draw();
  });
  draw();
}

export async function draw() {
  const acts = await store.kept();
  const unsent = acts.filter((act) => act.state === "unsent").length;
  const refused = acts.length - unsent;
  const who = await author();
  status.textContent = [who?.name, sending(unsent), refused ? interpolate(gettext("%s refused"), [refused]) : ""]
    .filter(Boolean)
    .join(" · ");
  status.classList.toggle("stopword", refused > 0 || Boolean(state.signIn));
  document.documentElement.classList.toggle("offline", state.reached === false);
  age.textContent = state.reached === false ? await asOf() : "";
  const bike = bikeOf(location.pathname);
  drawRows(acts.filter((act) => act.page === location.pathname || (bike && act.bike === bike)));
  markTasks();
}

function sending(unsent) {
  if (state.signIn && unsent) return interpolate(gettext("%s unsent: %s must sign in first"), [unsent, state.signIn]);
  if (state.sending) return interpolate(gettext("sending %s of %s"), [state.sending.done + 1, state.sending.of]);
  return interpolate(gettext("%s unsent"), [unsent]);
}

async function asOf() {
  const cached = await caches.match(location.href.split("#")[0], { ignoreVary: true });
  const when = new Date(cached?.headers.get("date") ?? Date.now());
  const time = atVenue(when);
  for (const word of document.querySelectorAll('[data-state="nothing_open"]')) {
    word.textContent = interpolate(gettext("as of %s"), [time]);
  }
  return interpolate(gettext("No network. As of %s, later holds unknown."), [time]);
}

// A page that names no venue is read where the tablet is.
function atVenue(when) {
  const timeZone = document.documentElement.dataset.timezone;
  return when.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false, timeZone });
}

function drawRows(acts) {
  rows.replaceChildren(...acts.map((act) => row(act)));
  rows.hidden = acts.length === 0;
}

// What was entered and not yet accepted; it can be taken back as long as it is here.
export function row(act) {
  const item = document.createElement("li");
  const words = document.createElement("span");
  const time = atVenue(new Date(act.at));
  const where = act.state === "refused" ? gettext("refused") : gettext("on this tablet");
  words.textContent = `${act.words} · ${act.author.name}, ${time}`;
  const badge = document.createElement("b");
  badge.className = act.state === "refused" ? "chip stopword" : "chip";
  badge.textContent = where;
  item.append(words, badge);
  if (act.text) item.append(reason(act.text));
  if (act.state === "refused") item.append(open(act, address(act), gettext("Amend")), takeBack(act));
  else if (act.tried) item.append(quietLine(gettext("sent, not answered yet")));
  else item.append(takeBack(act), open(act, act.page, gettext("Open the page")));
  return item;
}

function reason(text) {
  const line = document.createElement("span");
  line.className = "reason";
  line.textContent = text;
  return line;
}

function takeBack(act) {
  const button = document.createElement("button");
  button.className = "btn";
  button.textContent = gettext("Take back");
  button.addEventListener("click", async () => {
    await store.takeBack(act.n);
    tell();
  });
  return button;
}

function open(act, href, words) {
  const link = document.createElement("a");
  link.className = "btn";
  link.href = href;
  link.textContent = words;
  link.hidden = href === location.pathname;
  return link;
}

function quietLine(words) {
  const line = document.createElement("span");
  line.className = "quiet";
  line.textContent = words;
  return line;
}
