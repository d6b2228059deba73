// Marks the tasks of a round whose acts are still on this tablet.

import { fieldsOf } from "./act_record.js";
import * as store from "./store.js";

export async function markTasks() {
  const links = document.querySelectorAll("#then a.task");
  if (!links.length) return;
  const fields = (await store.kept()).flatMap(fieldsOf);
  const done = new Set(fields.filter(([name]) => name === "task").map(([, task]) => task));
  for (const link of links) {
    if (done.has(new URL(link.href).searchParams.get("task"))) link.dataset.kept = gettext("on this tablet");
    else delete link.dataset.kept;
  }
}

// Opens the next task that is not done.
export async function next() {
  await markTasks();
  document.querySelector("#then a.task:not([data-kept])")?.click();
}

document.addEventListener("htmx:oobAfterSwap", markTasks);
document.addEventListener("htmx:afterSwap", markTasks);
