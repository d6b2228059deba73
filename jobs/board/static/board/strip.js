// On a narrow screen the day's strip opens at now.

function atNow() {
  for (const frame of document.querySelectorAll(".strip-frame")) {
    const line = frame.querySelector(".now-line");
    if (!line || frame.scrollWidth <= frame.clientWidth) continue;
    const left = line.getBoundingClientRect().left - frame.getBoundingClientRect().left;
    frame.scrollLeft += left - frame.clientWidth / 3;
  }
}

atNow();
document.addEventListener("htmx:afterSwap", atNow);
