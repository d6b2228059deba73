// On a narrow screen the timetable strip is scrolled to the present time.

function scrollToNow() {
  for (const frame of document.querySelectorAll(".strip-frame")) {
    const line = frame.querySelector(".now-line");
    if (!line || frame.scrollWidth <= frame.clientWidth) continue;
    const left = line.getBoundingClientRect().left - frame.getBoundingClientRect().left;
    frame.scrollLeft += left - frame.clientWidth / 3;
  }
}

scrollToNow();
document.addEventListener("htmx:afterSwap", scrollToNow);
