// A question that lies over the board is closed by its answer.

document.addEventListener("submit", (event) => event.target.closest("[popover]")?.hidePopover());
