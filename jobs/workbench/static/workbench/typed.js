// Without network the server cannot work out a result. Sag is three readings and one
// subtraction, so the tablet works out that much itself; the server says the rest when the
// network is back. The same calculation: jobs/tuning/sag.py.

const gettext = window.gettext ?? ((words) => words);
const NAMES = ["hanging", "after_push", "after_lift"];
const READING_SLIP_MM = 1;

function number(form, name) {
  const value = form.elements.namedItem(name)?.value?.trim().replace(",", ".");
  return value ? Number(value) : Number.NaN;
}

// Names of the three cells of every sag in the form: on the sheet one, on a round's card
// as many as it asks for (reading-0-hanging, reading-1-hanging).
function prefixes(form) {
  return [...form.elements]
    .map((element) => element.name || "")
    .filter((name) => /(^|-)hanging$/.test(name))
    .map((name) => name.slice(0, -"hanging".length));
}

export function sagOf(hanging, push, lift) {
  if ([hanging, push, lift].some((length) => !Number.isFinite(length) || length <= 0)) return null;
  if (lift < push - READING_SLIP_MM) return { swapped: true };
  const sag = hanging - (push + lift) / 2;
  return sag < 0 || hanging < Math.max(push, lift) ? null : { sag, band: Math.max(0, lift - push) };
}

function sentence(found) {
  if (found.swapped) {
    return gettext("After a lift is shorter than after a push. Are the two readings swapped?");
  }
  return gettext("Sag %(sag)s, stiction %(band)s. No signal: percent and target when it is back.")
    .replace("%(sag)s", found.sag.toFixed(1))
    .replace("%(band)s", found.band.toFixed(1));
}

function say(place) {
  const form = place.closest("form");
  const found = prefixes(form)
    .map((prefix) => sagOf(...NAMES.map((name) => number(form, prefix + name))))
    .filter(Boolean);
  const lines = found.map((one) => {
    const line = document.createElement("p");
    line.textContent = sentence(one);
    return line;
  });
  place.replaceChildren(...lines);
}

for (const failed of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) {
  document.addEventListener(failed, (event) => {
    const place = event.target.closest?.(".typed");
    if (place) say(place);
  });
}
