// Sounds and vibrates softly when a bike of the person's own round comes in or is held. Off until
// it is switched on; the choice is kept in this browser.
//
// The sound is made here, of two sine tones. Browsers allow sound only after a touch on the page.

const KEY = "chimes";
const ASK_MS = 15000;
const TONES = { in: [587, 880], held: [440, 330] }; // Hz: up for in, down for held
const VIBRATIONS = { in: [80], held: [140, 80, 140] }; // ms
const TONE_S = 0.22;
const LOUDNESS = 0.08;

let sound = null;
let places = null; // entry: where it was
let timer = 0;

const wanted = () => localStorage.getItem(KEY) === "on";

function allowSound() {
  if (!wanted()) return;
  sound ??= new AudioContext();
  sound.resume();
}

function playTone(hertz, at) {
  const tone = sound.createOscillator();
  const loudness = sound.createGain();
  tone.frequency.value = hertz;
  loudness.gain.setValueAtTime(0, at);
  loudness.gain.linearRampToValueAtTime(LOUDNESS, at + 0.03);
  loudness.gain.linearRampToValueAtTime(0, at + TONE_S);
  tone.connect(loudness).connect(sound.destination);
  tone.start(at);
  tone.stop(at + TONE_S);
}

function play(kind) {
  navigator.vibrate?.(VIBRATIONS[kind]);
  if (!sound) return;
  TONES[kind].forEach((hertz, n) => playTone(hertz, sound.currentTime + n * TONE_S));
}

// What happened since the server was asked last: "held", "in" or null. The first time, nothing.
function changeOf(bikes) {
  const before = places;
  places = new Map(bikes.map((bike) => [bike.entry, bike.is]));
  if (!before) return null;
  const changed = bikes.filter((bike) => bike.mine && before.has(bike.entry) && before.get(bike.entry) !== bike.is);
  if (changed.some((bike) => bike.is === "held")) return "held";
  return changed.some((bike) => bike.is === "in" && before.get(bike.entry) === "out") ? "in" : null;
}

async function askServer() {
  if (!wanted()) return;
  try {
    const answer = await fetch("/round/mine/", { headers: { Accept: "application/json" } });
    const kind = answer.ok ? changeOf((await answer.json()).bikes) : null;
    if (kind) play(kind);
  } catch {
    // No network: it is asked again after ASK_MS.
  }
}

function show(button) {
  button.setAttribute("aria-pressed", String(wanted()));
  button.textContent = wanted() ? button.dataset.on : button.dataset.off;
}

function switchOnOff(event) {
  localStorage.setItem(KEY, wanted() ? "off" : "on");
  show(event.currentTarget);
  clearInterval(timer);
  if (wanted()) begin();
}

function begin() {
  places = null;
  allowSound();
  if (sound) play("in");
  askOften();
}

function askOften() {
  askServer();
  timer = setInterval(askServer, ASK_MS);
}

for (const button of document.querySelectorAll("[data-chimes]")) {
  show(button);
  button.addEventListener("click", switchOnOff);
}
document.addEventListener("pointerdown", allowSound);
document.body.addEventListener("moved", askServer);
if (wanted()) askOften();
