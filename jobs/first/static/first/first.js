// The first page: what usually goes with a country is filled in when one is chosen.
// The country itself is guessed from the browser's own time zone; everything can be changed.

const form = document.querySelector("form[data-usual]");
const usual = JSON.parse(document.getElementById("usual").textContent);
const field = (name) => form.elements.namedItem(name);
const here = Intl.DateTimeFormat().resolvedOptions().timeZone;

function fillIn() {
  const found = usual[field("country").value];
  if (!found) return;
  if (found.currency) field("currency").value = found.currency;
  const zone = found.zones.includes(here) ? here : found.zones[0];
  if (zone) field("timezone").value = zone;
  field("pressure_unit").value = found.pressure_unit;
  field("temperature_unit").value = found.temperature_unit;
}

if (!field("country").value) {
  const guess = Object.keys(usual).find((code) => usual[code].zones.includes(here));
  if (guess) {
    field("country").value = guess;
    fillIn();
  }
}
field("country").addEventListener("change", fillIn);

const show = document.getElementById("show-password");
show.hidden = false;
show.addEventListener("click", () => {
  const hidden = field("password").type === "password";
  field("password").type = hidden ? "text" : "password";
  show.setAttribute("aria-pressed", String(hidden));
  show.textContent = hidden ? show.dataset.hide : show.dataset.show;
});
