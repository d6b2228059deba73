// What was entered in a form, as the tablet keeps it: the fields, who, when, and in words.

import { clockOffset, state } from "./queue.js";
import { author } from "./people.js";
import { say } from "./say.js";

export const isHtmx = (form) => form.matches("[hx-post], [data-hx-post]");

// One act, ready to be kept; nothing when nobody is there to have done it.
export async function read(form, submitter, url) {
  const data = new FormData(form, submitter);
  const who = await author();
  if (!who) {
    say(gettext("Please sign in on this tablet first."), "refused");
    return null;
  }
  data.delete("csrfmiddlewaretoken");
  const address = new URL(url, location.href).pathname;
  return {
    id: data.get("act_id"),
    url: address,
    fields: [...data.entries()],
    author: who,
    at: new Date().toISOString(),
    offset: state.reached ? clockOffset() : null,
    page: location.pathname,
    bike: bikeOf(address) ?? data.get("entry") ?? bikeOf(location.pathname),
    again: again(form, data, address),
    words: words(form, submitter),
    state: "unsent",
  };
}

// Whose bike an address is about: its entry's number.
export const bikeOf = (path) => path.match(/\/bikes\/(\d+)\//)?.[1] ?? null;

// Where this form can be opened again, to amend what was refused.
function again(form, data, address) {
  if (data.get("task")) return `${location.pathname}?task=${data.get("task")}`;
  return form.closest("#panel") ? address : location.pathname + location.search;
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
  return parts.map((part) => part.replace(/\s+/g, " ").trim()).filter(Boolean).join(" · ").slice(0, 200);
}
