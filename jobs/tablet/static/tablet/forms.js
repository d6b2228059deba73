// A form that posts an act is stored on the tablet first and then sent.
//
// With network and an empty queue htmx posts it, and the stored copy is deleted after the answer;
// a plain form is sent by the queue, and the page that its answer names opens. Otherwise the copy
// waits in the queue (queue.js) and the page says so. A form that is not an act goes directly to
// the server, or the page says that it cannot be sent.

import { actForm, finish, release } from "../paddock/acts.js";
import * as store from "./store.js";
import { direct, flush, hello, onNews, pages, state, token } from "./queue.js";
import { signOver } from "./people.js";
import { address, isHtmx, read } from "./act_record.js";
import { carry, say } from "./say.js";
import { next } from "./done_tasks.js";

const HELLO_WAIT_MS = 3000;
const ofThisPage = new Map(); // ids of acts entered on this very page, with their forms
const amending = new WeakMap(); // a form, to the number of the refused act it replaces
const posting = new Map(); // ids of acts htmx is posting, with their fields
const sentDirectly = new WeakSet();
let lastAnswer = null; // the last answer to an act of this page, if the page still shows the day before it

// The next act of this form replaces a refused one.
export const amend = (form, act) => amending.set(form, act.n);

document.addEventListener("htmx:confirm", (event) => {
  const form = actForm(event.detail.elt);
  if (!form || event.detail.verb !== "post") return;
  event.preventDefault();
  const submitter = event.detail.triggeringEvent?.submitter;
  storeAndSend(form, submitter, event.detail.path, () => event.detail.issueRequest(true));
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.getAttribute("method")?.toLowerCase() !== "post" || isHtmx(form) || sentDirectly.has(form)) return;
  event.preventDefault();
  if (actForm(form)) storeAndSend(form, event.submitter, event.submitter?.getAttribute("formaction") ?? form.getAttribute("action") ?? "", null);
  else sendDirectly(form, event.submitter);
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
    ofThisPage.delete(id);
    await store.forgetId(id);
  } else if ((await store.kept()).some((act) => act.id === id)) {
    showAsQueued(elt);
    await flush();
  } else say(gettext("This was neither sent nor kept. What you typed is still here: try again."), "refused");
});

// A tap asked for a fragment that this tablet has not stored.
document.addEventListener("htmx:sendError", (event) => {
  const { verb, triggeringEvent } = event.detail.requestConfig ?? {};
  if (verb === "get" && triggeringEvent?.type === "click") say(gettext("This is not kept on this tablet: it needs the network."), "refused");
});

async function storeAndSend(form, submitter, url, issue) {
  const fields = [...new FormData(form, submitter)];
  const act = await read(form, submitter, url);
  if (!act) {
    release(form);
    return;
  }
  const alone = (await store.kept()).every((other) => other.state !== "unsent" || other.id === act.id);
  if (state.reached === null) await Promise.race([hello(), new Promise((go) => setTimeout(go, HELLO_WAIT_MS))]);
  const now = alone && state.reached && state.person?.username === act.author.username;
  const kept = await keep(form, act);
  if (!kept && !now) {
    release(form);
    say(gettext("This tablet's memory is full: this was NOT kept. Send or free something first."), "refused");
    return;
  }
  ofThisPage.set(act.id, form);
  if (issue && now) {
    direct.add(act.id);
    posting.set(act.id, fields);
    issue();
  } else if (kept) await queue(form, act, { url: address(url), fields });
  else {
    sentDirectly.add(form); // a full disk, but the server is there
    release(form);
    HTMLFormElement.prototype.requestSubmit.call(form, submitter);
  }
}

// False: the disk is full and the act is not stored.
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

// Sends the act after those before it. The page says something only if it was not sent at once.
async function queue(form, act, page) {
  pages.set(act.id, page);
  await flush();
  const left = (await store.kept()).find((other) => other.id === act.id);
  if (left?.state === "unsent") {
    pages.delete(act.id);
    showAsQueued(form);
  }
}

// Empties the form: its act is listed among the rows "on this tablet".
function showAsQueued(form) {
  if (!form.isConnected) return;
  say(gettext("Kept on this tablet. It is sent by itself."), "unplaced");
  finish(form);
  form.reset();
  if (form.closest("#panel") && form.getAttribute("action") !== location.pathname) form.closest("#panel").replaceChildren();
  if (form.closest("#hand")) next();
}

// A form that is not an act cannot be stored on the tablet.
async function sendDirectly(form, submitter) {
  if (!(await hello())) {
    say(gettext("There is no network, and this cannot wait on the tablet: nothing was sent. What you typed is still here."), "refused");
    return;
  }
  await signOver();
  sentDirectly.add(form);
  HTMLFormElement.prototype.requestSubmit.call(form, submitter);
}

window.addEventListener("pageshow", () => {
  for (const form of document.forms) sentDirectly.delete(form);
});

onNews(({ detail }) => {
  if (!detail.answered || !ofThisPage.has(detail.answered)) return;
  const form = ofThisPage.get(detail.answered);
  ofThisPage.delete(detail.answered);
  if (detail.outcome === "refused") refused(form, detail.answered);
  else answered(form, detail);
});

// The form still shows what was typed. Sent again, its act replaces the refused one.
async function refused(form, id) {
  const shown = form.hasAttribute("aria-busy");
  const act = shown && (await store.kept()).find((other) => other.id === id);
  if (act) amend(form, act);
  release(form); // last: a form sent from now on replaces the refused act
}

// Accepted through the queue: the next page opens, or this one is loaded again.
function answered(form, { text, outcome, next: leads }) {
  if (!form.hasAttribute("aria-busy")) {
    lastAnswer = { text, outcome };
    return;
  }
  carry(text, outcome);
  if (leads) location.assign(leads);
  else location.reload();
}

onNews(async ({ detail }) => {
  if (!detail.sent || !lastAnswer || (await store.kept()).some((act) => act.state === "unsent")) return;
  const { text, outcome } = lastAnswer;
  lastAnswer = null;
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
