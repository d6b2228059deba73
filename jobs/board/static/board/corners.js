// A corner can be chosen on the venue's sketch too: the one nearest to the tap.

function choicesOf(sketch) {
  const scope = sketch.closest("form") ?? document;
  return [...scope.querySelectorAll(`input[name="${sketch.dataset.pick}"]`)];
}

function show(sketch) {
  const chosen = choicesOf(sketch).find((input) => input.checked)?.value;
  for (const spot of sketch.querySelectorAll(".spot")) spot.classList.toggle("on", spot.dataset.corner === chosen);
}

function nearest(sketch, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(sketch.getScreenCTM().inverse());
  const distance = (spot) => {
    const circle = spot.querySelector("circle");
    return Math.hypot(circle.cx.baseVal.value - at.x, circle.cy.baseVal.value - at.y);
  };
  return [...sketch.querySelectorAll(".spot")].sort((a, b) => distance(a) - distance(b))[0];
}

document.addEventListener("click", (event) => {
  const sketch = event.target.closest("svg[data-pick]");
  if (!sketch) return;
  const corner = nearest(sketch, event)?.dataset.corner;
  const input = choicesOf(sketch).find((one) => one.value === corner);
  if (!input) return;
  input.checked = true;
  input.dispatchEvent(new Event("change", { bubbles: true }));
});

document.addEventListener("change", (event) => {
  for (const sketch of document.querySelectorAll("svg[data-pick]")) {
    if (event.target.name === sketch.dataset.pick) show(sketch);
  }
});
