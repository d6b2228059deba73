// Shows one sentence among the answers of acts, on this page or on the page that opens next.

const KINDS = { refused: "error", unplaced: "warning", applied: "success" };

export function say(text, kind) {
  const line = document.createElement("p");
  line.className = `notice ${KINDS[kind] ?? kind}`;
  line.textContent = text;
  document.getElementById("notices")?.replaceChildren(line);
}

export function carry(text, kind) {
  sessionStorage.setItem("said", JSON.stringify({ text, kind }));
}

export function sayCarried() {
  const carried = JSON.parse(sessionStorage.getItem("said") ?? "null");
  sessionStorage.removeItem("said");
  if (carried) say(carried.text, carried.kind);
}
