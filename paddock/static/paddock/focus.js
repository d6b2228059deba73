// Where the keyboard focus goes when the part of the page that had it has been replaced.
//
// Into a panel that opens (#panel), so that the next Tab goes on inside it. When the answer
// comes, or the panel is closed, back to the element that opened the panel. In a list that is
// shown again, to the same link or field. After a form was sent, to the start of what replaces
// the form: never to the same button of the next task.

let opener = null; // the element that opened the panel
let lost = null; // the element that had the focus and is about to be replaced

const startOf = (within) => within.querySelector("form.hand, h1, h2, h3");

// How to find the element again in what replaces it: the same link, the same field.
function reference(node, within) {
  const names = ["href", "hx-get", "name", "value"].filter((name) => node.hasAttribute(name));
  const given = names.map((name) => `[${name}="${CSS.escape(node.getAttribute(name))}"]`).join("");
  const selector = node.id ? `#${CSS.escape(node.id)}` : given && node.localName + given;
  if (!selector || node.type === "submit") return null;
  return { selector, nth: [...within.querySelectorAll(selector)].indexOf(node) };
}

function findAgain({ selector, nth }, within) {
  const alike = within.querySelectorAll(selector);
  return alike[nth] ?? alike[0];
}

function beforeReplaced({ detail: { target } }) {
  const node = document.activeElement;
  if (node === document.body || !target.contains(node)) return;
  const from = node.closest("#panel") && target.id !== "panel" ? opener : reference(node, target);
  lost = { from, within: target.id };
}

function afterReplaced() {
  const within = lost && document.getElementById(lost.within);
  if (!within || document.activeElement !== document.body) return;
  const found = (lost.from && findAgain(lost.from, within)) || startOf(within);
  lost = null;
  if (found) focusOn(found);
}

// After htmx has scrolled. A page used by touch stays where htmx scrolled it to.
function focusOn(found) {
  if (found.tabIndex < 0) found.tabIndex = -1;
  found.focus({ preventScroll: true });
  requestAnimationFrame(() => {
    if (found.matches(":focus-visible")) found.scrollIntoView({ block: "nearest" });
  });
}

document.addEventListener("htmx:beforeRequest", ({ detail: { elt, target } }) => {
  if (target?.id === "panel" && !target.contains(elt)) opener = reference(elt, document);
});

document.addEventListener("htmx:beforeSwap", (event) => {
  lost = null;
  beforeReplaced(event);
});
document.addEventListener("htmx:oobBeforeSwap", beforeReplaced);
document.addEventListener("htmx:oobAfterSwap", afterReplaced);
document.addEventListener("htmx:afterSettle", ({ detail: { target } }) => {
  const heading = target?.id === "panel" && target.querySelector("h2");
  if (heading) {
    lost = null;
    focusOn(heading);
  } else afterReplaced();
});
