// Gives every act a person sends its own id, once, and counts repeated taps as one.
//
// A form that posts an act carries <input type="hidden" name="act_id">, empty. The id is
// made here when the form is first sent and belongs to what was filled in: the same again
// before an answer has come (a second tap, a retry after a lost answer) is the same act,
// anything else is another. While an act is being sent its form takes no further tap. The
// id is never written by the server into a fragment, because fragments are cached and
// shown to several people.

const SAME_TAP_MS = 300;
const SAME_SPOT_PX = 40;

const sent = new WeakMap(); // a form, to the content its id was made for
const beingSent = new WeakSet();
let tap = null; // the last one anywhere on the page
let before = null; // the one before it

export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Insecure origins have no randomUUID; version 4 by hand (RFC 9562, section 5.4).
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

const fieldOf = (form) => form?.querySelector?.('input[name="act_id"]') ?? null;

// The form of an act that an element is, or stands in.
export function actForm(element) {
  const form = element?.closest?.("form");
  return fieldOf(form) ? form : null;
}

function contentOf(form, submitter) {
  const data = new FormData(form, submitter);
  data.delete("act_id");
  data.delete("csrfmiddlewaretoken");
  return JSON.stringify([...data], (_, value) =>
    value instanceof File ? [value.name, value.size, value.lastModified] : value,
  );
}

function identify(form, submitter) {
  const content = contentOf(form, submitter);
  if (sent.get(form) === content) return;
  sent.set(form, content);
  fieldOf(form).value = newId();
}

// The act has had its answer, or is kept: what the form sends next is another one.
export function finish(form) {
  sent.delete(form);
  fieldOf(form).value = "";
  release(form);
}

// No answer came, or it was refused: the form may be sent again.
export function release(form) {
  beingSent.delete(form);
  form.removeAttribute("aria-busy");
}

// A glove often taps twice: a tap on the same spot within SAME_TAP_MS is the same tap, also when
// the button or link tapped first has been replaced by then, by a fragment or the next page.
function isSecondTap() {
  if (!tap || !before) return false;
  const apart = Math.hypot(tap.x - before.x, tap.y - before.y);
  return tap.at - before.at < SAME_TAP_MS && apart < SAME_SPOT_PX;
}

document.addEventListener(
  "click",
  (event) => {
    before = JSON.parse(sessionStorage.getItem("act-tap") ?? "null");
    tap = { at: Date.now(), x: event.clientX, y: event.clientY };
    sessionStorage.setItem("act-tap", JSON.stringify(tap));
  },
  true,
);

// What was entered in between makes the next tap one of its own.
document.addEventListener("input", () => sessionStorage.removeItem("act-tap"), true);

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!fieldOf(form)) return;
    if (beingSent.has(form) || isSecondTap()) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    identify(form, event.submitter);
    beingSent.add(form);
    form.setAttribute("aria-busy", "true");
  },
  true,
);

const posted = (event) => (event.detail.requestConfig?.verb === "post" ? actForm(event.detail.elt) : null);

document.addEventListener("htmx:afterRequest", (event) => {
  const form = posted(event);
  if (!form) return;
  if (!event.detail.successful) release(form);
  else if (!opensAnotherPage(event.detail.xhr)) finish(form);
});

// The answer sends the browser elsewhere: until it has, the form sends nothing more.
const opensAnotherPage = (xhr) => Boolean(xhr.getResponseHeader("HX-Redirect") ?? xhr.getResponseHeader("HX-Refresh"));

document.addEventListener("htmx:validation:halted", (event) => {
  const form = actForm(event.detail.elt);
  if (form) release(form);
});

// On a page opened again from the browser's history every form begins a new act.
window.addEventListener("pageshow", (event) => {
  const [visit] = performance.getEntriesByType("navigation");
  if (!event.persisted && visit?.type !== "back_forward") return;
  for (const form of document.forms) if (fieldOf(form)) finish(form);
});
