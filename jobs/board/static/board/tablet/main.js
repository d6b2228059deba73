// Started on every page of the crew and the office.

import * as bar from "./bar.js";
import { flush, onNews } from "./queue.js";
import * as amend from "./amend.js";
import { follow, remember } from "./people.js";
import { keepDay } from "./keep.js";
import "./forms.js";

const LOOK_MS = 20000;

// It may not come, or not all that it keeps to begin with: then the next look asks again.
const workerAsk = () => navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" }).catch(() => null);

async function look() {
  if (!navigator.serviceWorker.controller) workerAsk();
  await flush();
  await remember();
  await follow();
  await bar.draw();
  keepDay();
}

async function start() {
  bar.start();
  amend.start();
  workerAsk(); // not waited for: what is on the tablet is sent without it
  navigator.storage?.persist?.();
  await look();
  setInterval(look, LOOK_MS);
  window.addEventListener("online", look);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) look();
  });
  // What was sent has changed the day: whoever shows it fetches it again.
  onNews(({ detail }) => {
    if (detail.sent) document.body.dispatchEvent(new CustomEvent("moved"));
  });
}

// On an insecure origin there is none of these, and every page says so (paddock/secure.js).
if (window.isSecureContext && navigator.serviceWorker && navigator.locks) start();
