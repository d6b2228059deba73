// Where the keyboard goes on when the part of the page it was in has been replaced.
//
// A panel that opens (#panel) takes it along: the next Tab goes on inside. When the answer
// comes, or the panel is closed, it is back on what the panel was opened from. A list shown
// anew while one reads it keeps one's place. What was sent leaves it at the beginning of
// what came instead: never on the same button of the next task.

let opener = null; // what the panel was opened from
let place = null; // what had the focus and is about to go

const beginning = (within) => within.querySelector("form.hand, h1, h2, h3");

// The element again, among what takes its place: the same link, the same field.
function mark(node, within) {
  const names = ["href", "hx-get", "name", "value"].filter((name) => node.hasAttribute(name));
  const given = names.map((name) => `[${name}="${CSS.escape(node.getAttribute(name))}"]`).join("");
  const selector = node.id ? `#${CSS.escape(node.id)}` : given && node.localName + given;
  if (!selector || node.type === "submit") return null;
  return { selector, nth: [...within.querySelectorAll(selector)].indexOf(node) };
}

function again({ selector, nth }, within) {
  const alike = within.querySelectorAll(selector);
  return alike[nth] ?? alike[0];
}

function leaving({ detail: { target } }) {
  const node = document.activeElement;
  if (node === document.body || !target.contains(node)) return;
  const from = node.closest("#panel") && target.id !== "panel" ? opener : mark(node, target);
  place = { from, within: target.id };
}

function arrived() {
  const within = place && document.getElementById(place.within);
  if (!within || document.activeElement !== document.body) return;
  const found = (place.from && again(place.from, within)) || beginning(within);
  place = null;
  if (found) take(found);
}

// After htmx has scrolled: a finger's page stays where that left it.
function take(found) {
  if (found.tabIndex < 0) found.tabIndex = -1;
  found.focus({ preventScroll: true });
  requestAnimationFrame(() => {
    if (found.matches(":focus-visible")) found.scrollIntoView({ block: "nearest" });
  });
}

document.addEventListener("htmx:beforeRequest", ({ detail: { elt, target } }) => {
  if (target?.id === "panel" && !target.contains(elt)) opener = mark(elt, document);
});

document.addEventListener("htmx:beforeSwap", (event) => {
  place = null;
  leaving(event);
});
document.addEventListener("htmx:oobBeforeSwap", leaving);
document.addEventListener("htmx:oobAfterSwap", arrived);
document.addEventListener("htmx:afterSettle", ({ detail: { target } }) => {
  const heading = target?.id === "panel" && target.querySelector("h2");
  if (heading) {
    place = null;
    take(heading);
  } else arrived();
});
