// A soft sound and a short shake when a bike of one's own round comes in or is held, on
// devices whose person wants it (off until switched on, kept in this browser).
//
// The sound is made here, from two sine tones; browsers let it out once the page was touched.

const KEY = "chimes";
const LOOK_MS = 15000;
const NOTES = { in: [587, 880], held: [440, 330] }; // Hz: up for in, down for held
const SHAKES = { in: [80], held: [140, 80, 140] }; // ms
const NOTE_S = 0.22;
const LOUDNESS = 0.08;

let sound = null;
let known = null; // entry: where it was
let timer = 0;

const wanted = () => localStorage.getItem(KEY) === "on";

function wake() {
  if (!wanted()) return;
  sound ??= new AudioContext();
  sound.resume();
}

function note(hertz, at) {
  const tone = sound.createOscillator();
  const loudness = sound.createGain();
  tone.frequency.value = hertz;
  loudness.gain.setValueAtTime(0, at);
  loudness.gain.linearRampToValueAtTime(LOUDNESS, at + 0.03);
  loudness.gain.linearRampToValueAtTime(0, at + NOTE_S);
  tone.connect(loudness).connect(sound.destination);
  tone.start(at);
  tone.stop(at + NOTE_S);
}

function chime(kind) {
  navigator.vibrate?.(SHAKES[kind]);
  if (!sound) return;
  NOTES[kind].forEach((hertz, n) => note(hertz, sound.currentTime + n * NOTE_S));
}

// What happened since the last look; nothing is news at the first.
function news(bikes) {
  const before = known;
  known = new Map(bikes.map((bike) => [bike.entry, bike.is]));
  if (!before) return null;
  const changed = bikes.filter((bike) => bike.mine && before.has(bike.entry) && before.get(bike.entry) !== bike.is);
  if (changed.some((bike) => bike.is === "held")) return "held";
  return changed.some((bike) => bike.is === "in" && before.get(bike.entry) === "out") ? "in" : null;
}

async function look() {
  if (!wanted()) return;
  try {
    const answer = await fetch("/round/mine/", { headers: { Accept: "application/json" } });
    const kind = answer.ok ? news((await answer.json()).bikes) : null;
    if (kind) chime(kind);
  } catch {
    // No network: nothing can be heard of.
  }
}

function show(button) {
  button.setAttribute("aria-pressed", String(wanted()));
  button.textContent = wanted() ? button.dataset.on : button.dataset.off;
}

function switched(event) {
  localStorage.setItem(KEY, wanted() ? "off" : "on");
  show(event.currentTarget);
  clearInterval(timer);
  if (wanted()) begin();
}

function begin() {
  known = null;
  wake();
  if (sound) chime("in");
  listen();
}

function listen() {
  look();
  timer = setInterval(look, LOOK_MS);
}

for (const button of document.querySelectorAll("[data-chimes]")) {
  show(button);
  button.addEventListener("click", switched);
}
document.addEventListener("pointerdown", wake);
document.body.addEventListener("moved", look);
if (wanted()) listen();
