// In the minute before a group comes in, and until its bikes stand, the board shows who begins at
// which bike. Decided by the day's clock on this device: without network too. "Whole board" puts
// it away for this session.

import { dayNow } from "../paddock/countdown.js";

const board = document.getElementById("board");
const putAway = new Set();

function due() {
  const now = dayNow();
  return [...board.querySelectorAll(".before-flag")].find(
    ({ dataset }) => !putAway.has(dataset.session) && Date.parse(dataset.since) <= now && now < Date.parse(dataset.to),
  );
}

function show() {
  const shown = due();
  for (const one of board.querySelectorAll(".before-flag")) one.hidden = one !== shown;
  board.classList.toggle("flag-comes", Boolean(shown));
}

board.addEventListener("click", (event) => {
  if (!event.target.closest("[data-whole-board]")) return;
  putAway.add(event.target.closest(".before-flag").dataset.session);
  show();
});

document.addEventListener("htmx:afterSwap", show);
setInterval(show, 1000);
show();
