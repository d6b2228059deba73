// When bikes of this person are in, the board and a round open the pit-in cards by themselves. While
// a number is typed or a task is in hand, and on every other page, one line says it and waits.
//
// Board and round say when each of the crew is called. It is kept in this browser, so that other
// pages know it, and decided by the day's clock: without network too.

import { dayNow } from "../paddock/countdown.js";

const KEY = "pit-in-calls";
const own = document.getElementById("pit-in-call").dataset;
const opens = Boolean(document.querySelector("[data-pit-in-opens]"));
const onCards = Boolean(document.querySelector("main.pit-in"));
let line = null;
let taken = new URLSearchParams(location.search).has("task"); // a task that was chosen is in hand

function known() {
  const here = document.getElementById("pit-in-known");
  if (here) localStorage.setItem(KEY, here.textContent);
  return JSON.parse(here?.textContent ?? localStorage.getItem(KEY) ?? "[]");
}

function due() {
  if (!document.documentElement.dataset.now) return null; // this page has no clock of a day
  const now = dayNow();
  return known().find(
    (call) =>
      call.user === Number(own.user) &&
      Date.parse(call.from) <= now &&
      now < Date.parse(call.until) &&
      !sessionStorage.getItem(`pit-in-over-${call.session}`),
  );
}

function isEntered(field) {
  if (/hidden|submit|button|select/.test(field.type)) return false;
  if (/radio|checkbox/.test(field.type)) return field.checked !== field.defaultChecked;
  return "defaultValue" in field && field.value !== field.defaultValue;
}

function isBusy() {
  const typed = [...document.forms].some((form) => [...form.elements].some(isEntered));
  const asked = document.querySelector(":popover-open, dialog[open], details.me[open], .set-aside[open]");
  return typed || Boolean(asked) || taken || Boolean(document.querySelector("form.in-hand[data-begun]"));
}

function say(call) {
  if (line?.dataset.session === String(call.session)) return;
  line?.remove();
  line = document.createElement("aside");
  line.className = "pit-in-line";
  line.dataset.session = call.session;
  line.setAttribute("role", "status");
  const link = document.createElement("a");
  link.href = call.url;
  link.textContent = call.line;
  const later = document.createElement("button");
  later.type = "button";
  later.className = "btn";
  later.textContent = own.later;
  later.addEventListener("click", () => {
    sessionStorage.setItem(`pit-in-over-${call.session}`, "1");
    look();
  });
  line.append(link, later);
  document.body.append(line);
}

function look() {
  const call = due();
  if (!call) {
    line?.remove();
    line = null;
  } else if (opens && !isBusy() && !sessionStorage.getItem(`pit-in-opened-${call.session}`)) location.assign(call.url);
  else say(call);
}

if (!onCards) {
  document.addEventListener("click", (event) => {
    if (event.target.closest("#then a.task")) taken = true;
  });
  document.addEventListener("htmx:afterRequest", ({ detail }) => {
    if (detail.requestConfig?.verb === "post" && detail.elt.matches?.("form.in-hand")) taken = false;
  });
  look();
  setInterval(look, 1000);
}
