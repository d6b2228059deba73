// Started on every page of the crew and the office.

import * as bar from "./bar.js";
import { flush, onNews } from "./queue.js";
import * as amend from "./amend.js";
import { signOver, remember } from "./people.js";
import { keepDay } from "./keep_pages.js";
import "./forms.js";

const CHECK_MS = 20000;

// The registration may fail, or not all files may arrive. Then it is tried again at the next check.
// A page that was on its way when the worker began is not the worker's: it asks to be taken over.
async function workerAsk() {
  const known = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" }).catch(() => null);
  if (!navigator.serviceWorker.controller) known?.active?.postMessage("take over");
}

async function checkNow() {
  if (!navigator.serviceWorker.controller) workerAsk();
  await flush();
  await remember();
  await signOver();
  await bar.draw();
  keepDay();
}

async function start() {
  bar.start();
  amend.start();
  workerAsk(); // not awaited: acts are sent without it
  navigator.storage?.persist?.();
  await checkNow();
  setInterval(checkNow, CHECK_MS);
  window.addEventListener("online", checkNow);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) checkNow();
  });
  // Sent acts have changed the day: the parts of the page that show it are fetched again.
  onNews(({ detail }) => {
    if (detail.sent) document.body.dispatchEvent(new CustomEvent("moved"));
  });
}

// On an insecure origin there is none of these, and every page says so (paddock/secure.js).
if (window.isSecureContext && navigator.serviceWorker && navigator.locks) start();
