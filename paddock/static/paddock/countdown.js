// Counts down to the moment each [data-until] names, on the day's own clock.
//
// The page says once what time it was at the trackday when it was made (data-now, ISO)
// and how fast that clock runs (data-rate, 1 except in a demo). The device's own clock
// is not used, only how much time has passed on it. A page that a tablet kept is older: how
// much older is told by when it was really made (data-made) and by how far the tablet's clock
// was from the server's when that was last reached (tablet/queue.js).

const root = document.documentElement;

const KEPT_MS = 60 * 1000; // an answer of the server is never as old as that

// For how long the page had been kept when it was opened, in ms; 0 for an answer of the server.
function keptFor() {
  const offset = localStorage.getItem("server-offset");
  if (offset === null || !root.dataset.made) return 0;
  const opened = performance.timeOrigin + Number(offset) * 1000;
  const kept = opened - Date.parse(root.dataset.made);
  return kept > KEPT_MS ? kept : 0;
}

export function dayNow() {
  const made = Date.parse(root.dataset.now);
  return made + (keptFor() + performance.now()) * Number(root.dataset.rate || 1);
}

function timeLeft(element, left) {
  if (left <= 0) return element.dataset.zero || "0";
  const seconds = Math.floor(left / 1000);
  if (seconds < 120) return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 100) return `${minutes} ${root.dataset.minutes || "min"}`;
  return `${Math.floor(minutes / 60)} ${root.dataset.hours || "h"} ${minutes % 60}`;
}

export function tick() {
  if (!root.dataset.now) return;
  const now = dayNow();
  for (const element of document.querySelectorAll("[data-until]")) {
    const left = Date.parse(element.dataset.until) - now;
    const text = timeLeft(element, left);
    if (element.textContent !== text) element.textContent = text;
    element.classList.toggle("stopword", left <= 0);
  }
  const format = new Intl.DateTimeFormat(root.lang || "en", {
    hour: "2-digit",
    minute: "2-digit",
    hour12: false,
    timeZone: root.dataset.timezone || "UTC",
  });
  for (const element of document.querySelectorAll("[data-clock]")) {
    element.textContent = format.format(new Date(now));
  }
}

tick();
setInterval(tick, 1000);
document.addEventListener("htmx:afterSwap", tick);
