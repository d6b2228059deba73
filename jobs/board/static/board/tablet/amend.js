// A refused act brought back into the form it was entered in, to be said better.

import { actForm } from "../../paddock/acts.js";
import * as store from "./store.js";
import { amend } from "./forms.js";
import { say } from "./say.js";

const MARK = "#amend-";

// Where to go to amend it.
export const address = (act) => `${act.again ?? act.page}${MARK}${act.n}`;

export function start() {
  window.addEventListener("hashchange", bring);
  bring();
}

// Opens and fills the form that the address asks for.
async function bring() {
  if (!location.hash.startsWith(MARK)) return;
  const act = await store.one(Number(location.hash.slice(MARK.length)));
  history.replaceState(null, "", location.pathname + location.search);
  if (!act) return;
  const form = find(act);
  if (!form) {
    say(gettext("The form this was entered in is not open any more. Enter it where it belongs, then take this one back."), "refused");
    return;
  }
  fill(form, act);
  amend(form, act);
  say(act.text, "refused");
  form.scrollIntoView({ block: "center" });
}

// The form with its address whose hidden fields say the same of what it is about.
function find(act) {
  const given = new Map(act.fields);
  return [...document.forms].find((form) => {
    if (!actForm(form)) return false;
    const target = form.getAttribute("hx-post") ?? form.getAttribute("action") ?? "";
    if (new URL(target, location.href).pathname !== act.url) return false;
    return [...form.querySelectorAll("input[type=hidden]")]
      .filter(({ name }) => !["act_id", "csrfmiddlewaretoken", "next"].includes(name) && !name.startsWith("from"))
      .every(({ name, value }) => String(given.get(name) ?? "") === value);
  });
}

function fill(form, act) {
  const given = new Map();
  for (const [name, value] of act.fields) given.set(name, [...(given.get(name) ?? []), value]);
  for (const field of form.elements) {
    const values = given.get(field.name);
    if (!values || field.type === "hidden" || field.tagName === "BUTTON") continue;
    if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
    else if (field.type === "file") files(field, values);
    else field.value = values.shift() ?? "";
    for (let box = field.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
  }
}

function files(field, values) {
  const transfer = new DataTransfer();
  for (const value of values) if (value instanceof File && value.size) transfer.items.add(value);
  field.files = transfer.files;
}
