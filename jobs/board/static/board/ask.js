// Answering a question (a popover over the board) closes it.

document.addEventListener("submit", (event) => event.target.closest("[popover]")?.hidePopover());
