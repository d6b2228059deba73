// The board is fetched again while somebody reads it: what they opened stays open.

let open = [];

document.addEventListener("htmx:beforeSwap", (event) => {
  open = [...event.detail.target.querySelectorAll("details[id][open]")].map((each) => each.id);
});

document.addEventListener("htmx:afterSwap", () => {
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
});
