// The venue's sketch: the line of the track, point by point, and where each corner lies.
//
// What the next tap adds is chosen above the drawing: a point of the track, or one corner of the
// list. For the keyboard there is a cross on the drawing: arrows move it, Enter adds the point.

const SVG = "http://www.w3.org/2000/svg";
const STEP = 2;
const WIDTH = 100;
const HEIGHT = 60;

const sheet = document.getElementById("sketch-sheet");
const line = sheet.querySelector("polygon");
const fields = { sketch: document.getElementById("sketch"), places: document.getElementById("places") };
const names = document.getElementById("names");
const brushes = document.getElementById("brushes");
const now = document.getElementById("sketch-now");

let points = JSON.parse(fields.sketch.value || "[]");
let places = JSON.parse(fields.places.value || "{}");
let cross = null;

const listed = () => [...new Set(names.value.split("\n").map((name) => name.trim()).filter(Boolean))];
const brush = () => brushes.querySelector("input:checked")?.value ?? "";

function element(name, attributes, text = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.textContent = text;
  return made;
}

function draw() {
  line.setAttribute("points", points.map(([x, y]) => `${x},${y}`).join(" "));
  for (const old of sheet.querySelectorAll(".spot, .cross")) old.remove();
  for (const name of listed()) {
    if (!places[name]) continue;
    const [x, y] = places[name];
    const spot = element("g", { class: name === brush() ? "spot on" : "spot" });
    spot.append(element("circle", { cx: x, cy: y, r: 2 }), element("text", { x, y, dy: 7 }, name));
    sheet.append(spot);
  }
  if (cross) {
    const [x, y] = cross;
    sheet.append(element("path", { class: "cross", d: `M${x - 3} ${y}H${x + 3}M${x} ${y - 3}V${y + 3}` }));
  }
  fields.sketch.value = JSON.stringify(points);
  fields.places.value = JSON.stringify(Object.fromEntries(listed().filter((n) => places[n]).map((n) => [n, places[n]])));
}

// One choice a corner, as the list stands; the chosen one stays chosen.
function showChoices() {
  const chosen = brush();
  for (const old of [...brushes.children].slice(1)) old.remove();
  for (const name of listed()) {
    const label = document.createElement("label");
    const input = document.createElement("input");
    label.className = "btn pick";
    Object.assign(input, { type: "radio", name: "brush", value: name, checked: name === chosen });
    label.append(input, name);
    brushes.append(label);
  }
  if (!brushes.querySelector("input:checked")) brushes.querySelector("input").checked = true;
  draw();
}

function addPoint(x, y) {
  const at = [Number(x.toFixed(1)), Number(y.toFixed(1))];
  const name = brush();
  if (!name) points.push(at);
  else {
    places[name] = at;
    const next = listed().find((other) => !places[other]);
    const choice = [...brushes.querySelectorAll("input")].find((input) => input.value === next);
    if (choice) choice.checked = true;
  }
  draw();
}

sheet.addEventListener("click", (event) => {
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(sheet.getScreenCTM().inverse());
  cross = null;
  addPoint(x, y);
});

const MOVES = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] };

sheet.addEventListener("keydown", (event) => {
  const move = MOVES[event.key];
  if (!move && event.key !== "Enter" && event.key !== " ") return;
  event.preventDefault();
  cross ??= [WIDTH / 2, HEIGHT / 2];
  if (move) {
    cross = [
      Math.min(WIDTH, Math.max(0, cross[0] + move[0])),
      Math.min(HEIGHT, Math.max(0, cross[1] + move[1])),
    ];
    now.textContent = `${now.dataset.at} ${cross.join(", ")}`;
    draw();
  } else addPoint(...cross);
});

document.addEventListener("click", (event) => {
  const what = event.target.dataset?.sketch;
  if (!what) return;
  const name = brush();
  if (what === "clear") [points, places] = [[], {}];
  else if (name) delete places[name];
  else points = points.slice(0, -1);
  draw();
});

names.addEventListener("input", showChoices);
brushes.addEventListener("change", draw);
document.getElementById("drawing").hidden = false;
showChoices();
