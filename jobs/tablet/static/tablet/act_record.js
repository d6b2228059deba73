// Reads a form into the record of an act: its kind, the version of its fields, their values
// (the payload), its author, its time, and a text that describes it.

import { clockOffset, state } from "./queue.js";
import { author } from "./people.js";
import { say } from "./say.js";

export const isHtmx = (form) => form.matches("[hx-post], [data-hx-post]");

// Where a form posts to, on this server.
export const address = (url) => new URL(url, location.href).pathname;

// The record of one act; null if nobody is signed in on this tablet.
export async function read(form, submitter, url) {
  const data = new FormData(form, submitter);
  const said = words(form, submitter); // now: what is seen may be another card after the wait
  const who = await author();
  if (!who) {
    say(gettext("Please sign in on this tablet first."), "refused");
    return null;
  }
  const posted = address(url);
  return {
    id: data.get("act_id"),
    ...content(form, submitter, data, posted),
    author: who,
    at: new Date().toISOString(),
    offset: state.reached ? clockOffset() : null,
    page: location.pathname,
    bike: bikeOf(posted) ?? data.get("entry") ?? bikeOf(location.pathname),
    again: again(form, data, posted),
    words: said,
    state: "unsent",
  };
}

// Fields of a form that are not part of the payload.
const OTHERS = ["csrfmiddlewaretoken", "act_id", "act_kinds", "next"];

// Kind, version and payload: the values by their fields' names, a list where a name repeats.
function content(form, submitter, data, url) {
  const { kind, version } = kindOf(submitter, data);
  for (const name of OTHERS) data.delete(name);
  // A panel kept by an older version says no kind: then it is posted to its page.
  if (!kind) return { url, fields: [...data.entries()] };
  if (data.get("kind") === kind) data.delete("kind");
  const payload = {};
  const files = {};
  for (const name of new Set(data.keys())) {
    const values = data.getAll(name);
    if (values[0] instanceof File) {
      if (values[0].size) [files[name]] = values;
    } else payload[name] = values.length > 1 ? values : values[0];
  }
  const day = Number(form.elements.act_id.dataset.trackday) || null;
  return { kind, version, payload, files, trackday: day };
}

// Which of the acts its form may post (the tag act_fields) a button stands for.
function kindOf(submitter, data) {
  const kinds = new Map((data.get("act_kinds") || "").split(",").filter(Boolean).map((one) => one.split("/")));
  const said = [submitter?.dataset.kind, data.get("kind")].find((kind) => kinds.has(kind));
  const kind = said ?? kinds.keys().next().value;
  return { kind, version: Number(kinds.get(kind)) };
}

// The fields of an act as pairs of name and value, in whichever shape it was kept.
export function fieldsOf(act) {
  if (act.fields) return act.fields;
  const values = Object.entries(act.payload).flatMap(([name, value]) => [value].flat().map((one) => [name, one]));
  return [...values, ...Object.entries(act.files)];
}

// Whose bike an address is about: its entry's number.
export const bikeOf = (path) => path.match(/\/bikes\/(\d+)\//)?.[1] ?? null;

// Where this form can be opened again, to amend what was refused.
function again(form, data, posted) {
  if (data.get("task")) return `${location.pathname}?task=${data.get("task")}`;
  return form.closest("#panel") ? posted : location.pathname + location.search;
}

// What was entered, as the form itself names it.
function words(form, submitter) {
  const heading = form.dataset.words ?? form.querySelector("h2, h3, legend")?.textContent ?? "";
  const place = document.querySelector("h1")?.textContent ?? "";
  const values = [...form.elements]
    .filter((field) => field.offsetParent && field.name && field.value && !/submit|button|file|hidden/.test(field.type))
    .filter((field) => !/radio|checkbox/.test(field.type) || field.checked)
    .map((field) => `${field.labels?.[0]?.textContent.trim() ?? ""} ${field.value}`.trim());
  const parts = [place, heading, submitter?.textContent ?? "", values.join(", ")];
  return parts.map((part) => part.replace(/\s+/g, " ").trim()).filter(Boolean).join(" · ").slice(0, 300);
}
