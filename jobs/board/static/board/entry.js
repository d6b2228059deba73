// A keypad and steppers for numbers, to be used with gloves: they change the cell touched last.
//
// A form that holds an element .entry (board/keypad.html) has them. Without this script the
// cells are ordinary inputs; with it the tablet's own keyboard stays away.

let cell = null;
let startsNew = true; // the next digit begins a new number instead of going on with the old one

const pads = () => [...document.querySelectorAll("form .entry")];

function cells(form) {
  return [...form.querySelectorAll(".cell input")];
}

function choose(input) {
  if (cell !== input) startsNew = true;
  cell = input;
  for (const other of cells(input.form)) other.closest(".cell").classList.toggle("on", other === input);
  for (const key of input.form.querySelectorAll(".entry [data-nudge]")) {
    key.textContent = (key.dataset.nudge > 0 ? "+" : "\u2212") + (input.dataset.step || 1);
  }
}

// The keypad sends the event that typing sends, for other scripts and htmx.
function sendInput() {
  cell.dispatchEvent(new Event("input", { bubbles: true }));
}

function keyTapped(key) {
  if (key === "back" && !cell.value) goBy(-1);
  else if (key === "back") cell.value = cell.value.slice(0, -1);
  else if (key !== "." || startsNew || !cell.value.includes(".")) cell.value = (startsNew ? "" : cell.value) + key;
  startsNew = false;
  sendInput();
  if (key !== "back" && isComplete()) goBy(1);
}

// Whether another digit would make the number larger than it can be: then it is complete.
function isComplete() {
  return cell.dataset.most && !cell.value.includes(".") && Number(`${cell.value}0`) > Number(cell.dataset.most);
}

function goBy(by) {
  const all = cells(cell.form);
  const after = all[all.indexOf(cell) + by] ?? (by > 0 ? all[0] : cell);
  choose(after);
  after.focus({ preventScroll: true });
  startsNew = by > 0;
}

// A stepper starts from what stands in the cell, else from what it was the last time.
function stepValue(direction) {
  const by = Number(cell.dataset.step || 1);
  const from = Number.parseFloat((cell.value || cell.dataset.before || "0").replace(",", "."));
  const start = Number.isFinite(from) ? from : 0;
  const places = Math.max(...[by, start].map((number) => (String(number).split(".")[1] || "").length));
  const moved = cell.value ? start + direction * by : start || direction * by;
  startsNew = true;
  cell.value = moved.toFixed(places);
  sendInput();
}

// Fragments are replaced while somebody types: the chosen cell stays chosen if it is still there.
function prepare() {
  for (const pad of pads()) {
    const all = cells(pad.closest("form"));
    if (all.length === 0 || !pad.hidden) continue;
    pad.hidden = false;
    for (const input of all) {
      if (matchMedia("(pointer: coarse)").matches) input.inputMode = "none";
      input.addEventListener("focus", () => choose(input));
    }
  }
  if (cell?.isConnected) return;
  cell = null;
  const first = pads()[0] && cells(pads()[0].closest("form"));
  if (first?.length) choose(first.find((input) => !input.value) ?? first[0]);
  document.dispatchEvent(new Event("cell"));
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.fill) {
    document.getElementById(button.dataset.fill).value = button.textContent.trim();
    return;
  }
  if (!button.closest(".entry")) return;
  const form = button.closest("form");
  if (cell?.form !== form) choose(cells(form)[0]);
  if (button.dataset.key === "next") goBy(1);
  else if (button.dataset.key) keyTapped(button.dataset.key);
  else stepValue(Number(button.dataset.nudge));
});

// On a phone the keypad is at the foot of the screen while a number is entered (parts.css), and
// only then: it would cover what is to be chosen or read. Its own keys never move it.
document.addEventListener("focusin", (event) => {
  if (event.target.closest(".entry")) return;
  const form = event.target === cell ? cell.form : null;
  for (const pad of pads()) pad.classList.toggle("in-hand", pad.closest("form") === form);
  if (form) cell.closest(".cell").scrollIntoView({ block: "nearest" });
});

document.addEventListener("htmx:oobAfterSwap", prepare);
document.addEventListener("htmx:afterSettle", prepare);
prepare();
