// Passkeys: the server says what to sign, the browser asks the person's device, and what that
// answers is posted with the form. Binary values travel as base64url (W3C, WebAuthn 2).

const form = document.querySelector("form[data-passkey]");

const bytes = (words) =>
  Uint8Array.from(atob(words.replaceAll("-", "+").replaceAll("_", "/")), (one) => one.charCodeAt(0));
const words = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");

const withBytes = (keys) => (keys ?? []).map((key) => ({ ...key, id: bytes(key.id) }));

function asAsked({ publicKey }) {
  const asked = { ...publicKey, challenge: bytes(publicKey.challenge) };
  if (asked.user) asked.user = { ...asked.user, id: bytes(asked.user.id) };
  if (asked.excludeCredentials) asked.excludeCredentials = withBytes(asked.excludeCredentials);
  if (asked.allowCredentials) asked.allowCredentials = withBytes(asked.allowCredentials);
  return { publicKey: asked };
}

function asAnswer(key) {
  const response = { clientDataJSON: words(key.response.clientDataJSON) };
  for (const part of ["attestationObject", "authenticatorData", "signature"])
    if (key.response[part]) response[part] = words(key.response[part]);
  return JSON.stringify({
    id: key.id, rawId: words(key.rawId), type: key.type, response, clientExtensionResults: {},
  });
}

class Refused extends Error {}

async function asked() {
  const answer = await fetch(form.dataset.ask, { method: "POST", body: new FormData(form) });
  const read = await answer.json();
  if (!answer.ok) throw new Refused(read.error);
  return asAsked(read);
}

function sentence(fault) {
  if (fault instanceof Refused) return fault.message;
  if (fault.name === "InvalidStateError") return form.dataset.again ?? form.dataset.stopped;
  if (fault instanceof DOMException) return form.dataset.stopped;
  return form.dataset.unreachable;
}

async function send(event) {
  event.preventDefault();
  const button = form.querySelector("button");
  const said = form.querySelector("[data-passkey-fault]");
  button.disabled = true;
  said.hidden = true;
  try {
    const key = await navigator.credentials[form.dataset.passkey](await asked());
    form.elements.answer.value = asAnswer(key);
    form.submit();
  } catch (fault) {
    said.textContent = sentence(fault);
    said.hidden = false;
    button.disabled = false;
  }
}

if (form && window.PublicKeyCredential) {
  document.querySelector("[data-passkey-missing]").hidden = true;
  form.hidden = false;
  form.addEventListener("submit", send);
  form.querySelector("[autofocus]")?.focus();
}
