// Every form that posts an act is written to the tablet first, then sent.
//
// With network and nothing waiting, htmx posts it as ever and the kept copy is dropped
// when the answer has come; a plain form goes through the queue and the page it leads to
// opens. Otherwise the copy waits its turn (queue.js) and the page says so. What is no act
// goes straight to the server, or says that it cannot.

import { actForm, finish, release } from "../../paddock/acts.js";
import * as store from "./store.js";
import { direct, flush, hello, onNews, state, token } from "./queue.js";
import { follow } from "./people.js";
import { isHtmx, read } from "./entered.js";
import { carry, say } from "./say.js";
import { next } from "./walked.js";

const IMPATIENT_MS = 3000;
const mine = new Map(); // ids of acts entered on this very page, with their forms
const amending = new WeakMap(); // a form, to the refused act it says better
const posting = new Map(); // ids of acts htmx is posting, with their fields
const passed = new WeakSet();
let stale = null; // the last answer to what this page had kept: it shows the day as before

// The next act of this form stands for a refused one.
export const amend = (form, act) => amending.set(form, act.n);

document.addEventListener("htmx:confirm", (event) => {
  const form = actForm(event.detail.elt);
  if (!form || event.detail.verb !== "post") return;
  event.preventDefault();
  const submitter = event.detail.triggeringEvent?.submitter;
  hold(form, submitter, event.detail.path, () => event.detail.issueRequest(true));
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.getAttribute("method")?.toLowerCase() !== "post" || isHtmx(form) || passed.has(form)) return;
  event.preventDefault();
  if (actForm(form)) hold(form, event.submitter, event.submitter?.getAttribute("formaction") ?? form.getAttribute("action") ?? "", null);
  else pass(form, event.submitter);
});

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.verb === "get" && event.detail.triggeringEvent?.type === "click") event.detail.headers["X-Kept-As"] = event.detail.path;
  if (event.detail.verb !== "post") return;
  if (token()) event.detail.headers["X-CSRFToken"] = token();
  event.detail.headers.Accept = "text/html, application/json"; // 401, not a sign-in page
  // htmx forgets the button tapped when the focus moves on while the tablet writes.
  for (const [name, value] of posting.get(event.detail.parameters.act_id) ?? []) {
    if (!event.detail.formData.has(name)) event.detail.formData.append(name, value);
  }
});

document.addEventListener("htmx:afterRequest", async (event) => {
  const { requestConfig, successful, elt } = event.detail;
  const id = requestConfig?.parameters?.act_id;
  if (requestConfig?.verb !== "post" || !id) return;
  direct.delete(id);
  posting.delete(id);
  if (successful) {
    mine.delete(id);
    await store.forgetId(id);
  } else if ((await store.kept()).some((act) => act.id === id)) {
    aside(elt);
    await flush();
  } else say(gettext("This was neither sent nor kept. What you typed is still here: try again."), "refused");
});

// What a tap asked for and this tablet does not hold.
document.addEventListener("htmx:sendError", (event) => {
  const { verb, triggeringEvent } = event.detail.requestConfig ?? {};
  if (verb === "get" && triggeringEvent?.type === "click") say(gettext("This is not kept on this tablet: it needs the network."), "refused");
});

async function hold(form, submitter, url, issue) {
  const act = await read(form, submitter, url);
  if (!act) {
    release(form);
    return;
  }
  const alone = (await store.kept()).every((other) => other.state !== "unsent" || other.id === act.id);
  if (state.reached === null) await Promise.race([hello(), new Promise((go) => setTimeout(go, IMPATIENT_MS))]);
  const now = alone && state.reached && state.person?.username === act.author.username;
  const kept = await keep(form, act);
  if (!kept && !now) {
    release(form);
    say(gettext("This tablet's memory is full: this was NOT kept. Send or free something first."), "refused");
    return;
  }
  mine.set(act.id, form);
  if (issue && now) {
    direct.add(act.id);
    posting.set(act.id, act.fields);
    issue();
  } else if (kept) await queue(form, act);
  else {
    passed.add(form); // a full disk, but the server is there
    release(form);
    HTMLFormElement.prototype.requestSubmit.call(form, submitter);
  }
}

// False: the disk is full, and the tablet holds nothing of it.
async function keep(form, act) {
  try {
    await store.keep(act);
  } catch (error) {
    if (error?.name !== "ConstraintError") return false;
  }
  if (amending.has(form)) {
    await store.takeBack(amending.get(form));
    amending.delete(form);
  }
  return true;
}

// Sent in its turn. Only when that did not happen at once is anything said about it.
async function queue(form, act) {
  await flush();
  const left = (await store.kept()).find((other) => other.id === act.id);
  if (left?.state === "unsent") aside(form);
}

// The form is done with: what it said stands among the rows "on this tablet".
function aside(form) {
  if (!form.isConnected) return;
  say(gettext("Kept on this tablet. It is sent by itself."), "unplaced");
  finish(form);
  form.reset();
  if (form.closest("#panel") && form.getAttribute("action") !== location.pathname) form.closest("#panel").replaceChildren();
  if (form.closest("#hand")) next();
}

// Not an act: the tablet could not keep it in words the book understands.
async function pass(form, submitter) {
  if (!(await hello())) {
    say(gettext("There is no network, and this cannot wait on the tablet: nothing was sent. What you typed is still here."), "refused");
    return;
  }
  await follow();
  passed.add(form);
  HTMLFormElement.prototype.requestSubmit.call(form, submitter);
}

window.addEventListener("pageshow", () => {
  for (const form of document.forms) passed.delete(form);
});

onNews(({ detail }) => {
  if (!detail.answered || !mine.has(detail.answered)) return;
  const form = mine.get(detail.answered);
  mine.delete(detail.answered);
  if (detail.outcome === "refused") refused(form, detail.answered);
  else answered(form, detail);
});

// The form still shows what was typed: sent again, it takes the refused one's place.
async function refused(form, id) {
  const shown = form.hasAttribute("aria-busy");
  const act = shown && (await store.kept()).find((other) => other.id === id);
  if (act) amend(form, act);
  release(form); // last: what is sent now knows whose place it takes
}

// Accepted by way of the queue: what waited for it goes on, what was kept is shown anew.
function answered(form, { text, outcome, next: leads }) {
  if (!form.hasAttribute("aria-busy")) {
    stale = { text, outcome };
    return;
  }
  carry(text, outcome);
  if (leads) location.assign(leads);
  else location.reload();
}

onNews(async ({ detail }) => {
  if (!detail.sent || !stale || (await store.kept()).some((act) => act.state === "unsent")) return;
  const { text, outcome } = stale;
  stale = null;
  say(text, outcome);
  if ([...document.forms].some(touched)) return; // somebody is typing
  carry(text, outcome);
  location.reload();
});

function touched(form) {
  return [...form.elements].some((field) =>
    field.type === "radio" || field.type === "checkbox"
      ? field.checked !== field.defaultChecked
      : field.type !== "hidden" && "defaultValue" in field && field.type !== "file" && field.value !== field.defaultValue,
  );
}
