// The card in hand says what it holds: how many points are open, which number is typed, whose
// bike is next. It only shows; what is sent is in the form.

const hand = () => document.querySelector("form.in-hand");

// A point tapped by mistake is not checked again after a second tap.
let held = null;
document.addEventListener("pointerdown", (event) => {
  const input = event.target.closest(".points .pick")?.querySelector("input");
  held = input?.checked ? input : null;
});
document.addEventListener("click", (event) => {
  if (event.target !== held) return;
  held.checked = false;
  held = null;
  event.target.dispatchEvent(new Event("change", { bubbles: true }));
});

function tally(form) {
  const said = form.querySelector("[data-tally]");
  if (!said) return;
  const count = (value) => form.querySelectorAll(`.points input[value="${value}"]:checked`).length;
  const passed = count("pass");
  const failed = count("fail");
  const open = form.querySelectorAll(".points > li").length - passed - failed;
  said.textContent = said.dataset.words.replace("PASSED", passed).replace("FAILED", failed).replace("OPEN", open);
}

// The number being typed, large, with its whole name and what it was before.
function echo(form) {
  const shown = form.querySelector("[data-echo]");
  const input = form.querySelector(".cell.on input");
  if (!shown || !input) return;
  const { beforeWords, rangeWords } = input.dataset;
  shown.hidden = false;
  shown.querySelector("[data-of]").textContent = input.closest(".cell").querySelector("[data-label]").dataset.label;
  shown.querySelector("[data-said]").textContent = [beforeWords, rangeWords].filter(Boolean).join(" · ");
  shown.querySelector("[data-typed]").textContent = input.value;
}

function nextBike(form) {
  const said = form.querySelector("[data-next-bike]");
  const plate = document.querySelector("#then a.task:not([data-kept]) .plate");
  if (said) said.textContent = plate ? `: ${plate.innerText.replace(/\s+/g, " ").trim()}` : "";
}

export function show() {
  const form = hand();
  if (!form) return;
  tally(form);
  echo(form);
  nextBike(form);
}

// What the last act answered is over the card until the next number or point is entered: then it
// is below the card, with its way back, and covers nothing.
for (const moment of ["input", "change"]) {
  document.addEventListener(moment, (event) => {
    if (event.target.closest("form.in-hand")) document.getElementById("notices").classList.add("below");
  });
}

for (const moment of ["change", "input", "focusin", "cell", "htmx:afterSettle", "htmx:oobAfterSwap"]) {
  document.addEventListener(moment, show);
}
show();
