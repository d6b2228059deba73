// Tasks of a round that were done on this tablet and have not arrived yet.

import * as store from "./store.js";

export async function markTasks() {
  const links = document.querySelectorAll("#then a.task");
  if (!links.length) return;
  const fields = (await store.kept()).flatMap((act) => act.fields);
  const done = new Set(fields.filter(([name]) => name === "task").map(([, task]) => task));
  for (const link of links) {
    if (done.has(new URL(link.href).searchParams.get("task"))) link.dataset.kept = gettext("on this tablet");
    else delete link.dataset.kept;
  }
}

// Opens the next one that is still to be done.
export async function next() {
  await markTasks();
  document.querySelector("#then a.task:not([data-kept])")?.click();
}

document.addEventListener("htmx:oobAfterSwap", markTasks);
document.addEventListener("htmx:afterSwap", markTasks);
