// A number is checked while it is typed, with network or without: what is not possible cannot be
// sent, what is unusual is said. The ranges come with the page (board/ranges.html), from the
// table of the kinds of reading; the server checks the same ones again.

const NOT_A_NUMBER = /[^0-9.,\u2212-]/;

function number(input) {
  const text = input.value.trim().replace(",", ".").replace("\u2212", "-");
  return text === "" || NOT_A_NUMBER.test(text) ? null : Number(text);
}

function unitOf(input) {
  return new FormData(input.form).get(`unit_${input.dataset.quantity}`) ?? Object.keys(JSON.parse(input.dataset.ranges))[0];
}

function within(words, low, high) {
  return words.replace("LOW", low).replace("HIGH", high);
}

// The words for a number below one of the same reading that it cannot be below.
function swapped(input, value) {
  const swaps = JSON.parse(input.dataset.swaps || "{}");
  const prefix = input.name.replace(/[^-]*$/, "");
  const millimetres = 1;
  for (const [other, words] of Object.entries(swaps)) {
    const beside = input.form.elements[prefix + other];
    const least = beside && number(beside);
    if (least !== null && least !== undefined && value < least - millimetres) return words;
  }
  return "";
}

function judge(input) {
  const value = number(input);
  const ranges = JSON.parse(input.dataset.ranges)[unitOf(input)];
  if (value === null || !ranges || Number.isNaN(value)) return { refused: "", said: "" };
  const [least, most, low, high] = ranges;
  if (value < least || value > most) return { refused: within(input.dataset.impossible, least, most), said: "" };
  const turned = swapped(input, value);
  if (turned) return { refused: turned, said: "" };
  return { refused: "", said: value < low || value > high ? within(input.dataset.unusual, low, high) : "" };
}

// Where the words for a number are said: in one place of the form, by name, where its cells are
// too narrow; else in the cell.
function wordsOf(input, cell) {
  const together = input.form.querySelector("[data-ranges-said]");
  const inTable = together && input.closest(".cell-table");
  const place = inTable ? together : cell;
  const found = place.querySelector(`.range-words[data-of="${input.name}"]`);
  if (found) return found;
  const words = document.createElement("span");
  words.className = "range-words";
  words.dataset.of = input.name;
  words.setAttribute("role", "status");
  place.append(words);
  return words;
}

function show(input) {
  const { refused, said } = judge(input);
  input.setCustomValidity(refused);
  const cell = input.closest(".cell");
  const words = wordsOf(input, cell);
  const name = words.parentElement === cell ? "" : `${cell.querySelector("[data-label]").dataset.label}: `;
  words.textContent = refused || said ? name + (refused || said) : "";
  cell.classList.toggle("refused", Boolean(refused));
}

// A number typed, or another unit tapped, may change what is said of its neighbours too.
document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!form) return;
  for (const input of form.querySelectorAll("[data-ranges]")) show(input);
  requireByEnd(form);
});

function isEntered(part) {
  const typed = [...part.querySelectorAll("[data-ranges]")].some((input) => input.value.trim());
  return typed || part.querySelector(".picks :checked, [type=checkbox]:checked") !== null;
}

// One end may stay empty. Of an end where something is entered, nothing needed is left out.
function requireByEnd(form) {
  const parts = [...form.querySelectorAll("[data-end]")];
  const none = !parts.some(isEntered);
  for (const part of parts) {
    const wanted = none || isEntered(part);
    for (const input of part.querySelectorAll("[data-needed]")) input.required = wanted;
  }
}

function requireAll() {
  for (const part of document.querySelectorAll("[data-end]")) requireByEnd(part.closest("form"));
}

document.addEventListener("htmx:afterSettle", requireAll);
requireAll();

// The stopwatch: one press as the bike is let go, one as it rests.
const started = new Map();
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-stopwatch]");
  if (!button) return;
  const begun = started.get(button);
  if (begun === undefined) {
    started.set(button, performance.now());
    button.textContent = button.dataset.stop;
    return;
  }
  started.delete(button);
  button.textContent = button.dataset.start;
  const input = document.getElementById(button.dataset.stopwatch);
  input.value = ((performance.now() - begun) / 1000).toFixed(1);
  input.dispatchEvent(new Event("input", { bubbles: true }));
});
