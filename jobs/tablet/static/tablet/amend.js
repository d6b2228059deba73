// Brings a refused act back into its form, so that a person can correct it.

import { actForm } from "../paddock/acts.js";
import * as store from "./store.js";
import { amend } from "./forms.js";
import { address as posted, fieldsOf } from "./act_record.js";
import { say } from "./say.js";

const HASH = "#amend-";

// Where to go to amend it.
export const address = (act) => `${act.again ?? act.page}${HASH}${act.n}`;

export function start() {
  window.addEventListener("hashchange", openRefused);
  openRefused();
}

// Opens and fills the form that the address asks for.
async function openRefused() {
  if (!location.hash.startsWith(HASH)) return;
  const act = await store.one(Number(location.hash.slice(HASH.length)));
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

// Hidden fields that differ each time the form is opened.
const OTHERS = /^(act_id|act_kinds|csrfmiddlewaretoken|next|kind|photo_id|from.*)$/;

// The form of its kind whose hidden fields say the same of what it is about.
function find(act) {
  const given = byName(act);
  return [...document.forms].find((form) => {
    if (!actForm(form) || !isFor(form, act)) return false;
    const hidden = [...form.querySelectorAll("input[type=hidden]")].filter(({ name }) => !OTHERS.test(name));
    return hidden.every(({ name, value }) => (given.get(name) ?? [valueIfMissing(act, name, value)]).includes(value));
  });
}

// A field that the act does not have counts as empty. What an address said when acts were kept by
// it, and the units of older acts, count as what today's form says.
const valueIfMissing = (act, name, value) => (act.kind && !name.startsWith("unit_") ? "" : value);

function isFor(form, act) {
  if (act.kind) return form.elements.act_kinds?.value.split(",").some((one) => one.split("/")[0] === act.kind);
  return posted(form.getAttribute("hx-post") ?? form.getAttribute("action") ?? "") === act.url;
}

function byName(act) {
  const given = new Map();
  for (const [name, value] of fieldsOf(act)) given.set(name, [...(given.get(name) ?? []), value]);
  return given;
}

function fill(form, act) {
  const given = byName(act);
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
