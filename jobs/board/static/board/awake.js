// Keeps the screen on while a page with [data-awake] is seen (W3C Screen Wake Lock). Where the
// browser has none, as at an http address, or refuses, as on an empty battery, the page says so
// and nothing else is different.

const said = () => document.querySelector("[data-awake]");
let lock = null;

function show() {
  const line = said();
  if (!line) return;
  line.textContent = lock ? "" : line.dataset.cannot;
  line.hidden = Boolean(lock);
}

// A hidden page loses its lock: it is asked for again when the page is seen.
async function keepOn() {
  if (!said() || document.hidden || lock) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => {
      lock = null;
      if (!document.hidden) show();
    });
  } catch {
    lock = null;
  }
  show();
}

document.addEventListener("visibilitychange", keepOn);
document.addEventListener("pointerdown", keepOn); // a lock may be taken away, and given again
document.addEventListener("htmx:afterSwap", show);
keepOn();
