// Numbers with a gloved thumb: a keypad and steppers work on the cell last touched.
//
// A form that holds an element .entry (board/keypad.html) has them. Without this script the
// cells are ordinary inputs; with it the tablet's own keyboard stays away.

let cell = null;
let fresh = true; // the next digit begins a new number instead of going on with the old one

const pads = () => [...document.querySelectorAll("form .entry")];

function cells(form) {
  return [...form.querySelectorAll(".cell input")];
}

function choose(input) {
  if (cell !== input) fresh = true;
  cell = input;
  for (const other of cells(input.form)) other.closest(".cell").classList.toggle("on", other === input);
}

// Whoever listens to typing hears the keypad too.
function heard() {
  cell.dispatchEvent(new Event("input", { bubbles: true }));
}

function typed(key) {
  if (key === "back" && !cell.value) step(-1);
  else if (key === "back") cell.value = cell.value.slice(0, -1);
  else if (key !== "." || fresh || !cell.value.includes(".")) cell.value = (fresh ? "" : cell.value) + key;
  fresh = false;
  heard();
  if (key !== "back" && full()) step(1);
}

// Another digit would make it more than it can be: the number is whole.
function full() {
  return cell.dataset.most && !cell.value.includes(".") && Number(`${cell.value}0`) > Number(cell.dataset.most);
}

function step(by) {
  const all = cells(cell.form);
  const after = all[all.indexOf(cell) + by] ?? (by > 0 ? all[0] : cell);
  choose(after);
  after.focus({ preventScroll: true });
  fresh = by > 0;
}

// What it was the last time, of the end chosen where the form asks for one.
function before() {
  const end = new FormData(cell.form).get("end");
  return (end && cell.dataset[`before${end[0].toUpperCase()}${end.slice(1)}`]) || cell.dataset.before || "";
}

// A stepper starts from what stands in the cell, else from what it was the last time.
function nudge(direction) {
  const by = Number(cell.dataset.step || 1);
  const from = Number.parseFloat((cell.value || before() || "0").replace(",", "."));
  const start = Number.isFinite(from) ? from : 0;
  const places = Math.max(...[by, start].map((number) => (String(number).split(".")[1] || "").length));
  const moved = cell.value ? start + direction * by : start || direction * by;
  fresh = true;
  cell.value = moved.toFixed(places);
  heard();
}

// Fragments come and go while one types: the cell in hand stays that, if it is still there.
function ready() {
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
  if (button.dataset.key === "next") step(1);
  else if (button.dataset.key) typed(button.dataset.key);
  else nudge(Number(button.dataset.nudge));
});

// On a phone the keypad stands at the thumb while a number is in hand (parts.css), and only
// then: it would cover what is to be chosen or read. Its own keys never move it.
document.addEventListener("focusin", (event) => {
  if (event.target.closest(".entry")) return;
  const form = event.target === cell ? cell.form : null;
  for (const pad of pads()) pad.classList.toggle("in-hand", pad.closest("form") === form);
  if (form) cell.closest(".cell").scrollIntoView({ block: "nearest" });
});

document.addEventListener("htmx:oobAfterSwap", ready);
document.addEventListener("htmx:afterSettle", ready);
ready();
