// The number of a plate opens the sheet of its bike, without network too: the page that lists
// the bikes of the day is kept on the tablet. If exactly one has that number, its sheet opens.

const form = document.querySelector("[data-jump]");

const normalised = (text) => text.toLowerCase().replaceAll(/\s/g, "");

function hasNumber(line, typed) {
  const { number, letter } = line.dataset;
  return [number, number.replace(/^0+/, "")].some((one) => one && (typed === one || typed === one + letter));
}

async function openBike(event) {
  event.preventDefault();
  const typed = form.querySelector("input").value;
  const all = form.action;
  try {
    const answer = await fetch(all, { headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const found = [...page.querySelectorAll("#bikes li")].filter((line) => hasNumber(line, normalised(typed)));
    if (found.length === 1) return location.assign(found[0].querySelector("a").href);
    location.assign(`${all}#${encodeURIComponent(typed)}`);
    if (location.pathname === new URL(all).pathname) showMatching();
  } catch {
    location.assign(`${all}?number=${encodeURIComponent(typed)}`);
  }
}

// The page of all bikes with a number behind its address shows those that have it.
function showMatching() {
  const typed = normalised(decodeURIComponent(location.hash.slice(1)));
  const lines = [...document.querySelectorAll("#bikes li")];
  if (!typed || !lines.length) return;
  for (const line of lines) line.hidden = !hasNumber(line, typed);
  document.getElementById("no-bike").hidden = lines.some((line) => !line.hidden);
}

form?.addEventListener("submit", openBike);
showMatching();
