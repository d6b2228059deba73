"""How long a trained hand needs, from the gestures it really made: the keystroke-level model.

S. K. Card, T. P. Moran, A. Newell, "The Psychology of Human-Computer Interaction" (1983),
chapter 8. The operator times are theirs, given here from memory:

    K  a key pressed                 0.28 s (a person who does not type for a living)
    P  a place pointed at            1.10 s (measured with a mouse; a thumb is taken alike)
    B  what is pointed at, pressed   0.10 s (their later custom; in the book a K)
    H  hands moved to a keyboard     0.40 s
    M  the thought before a unit     1.35 s

A tap is P and B, and so is each swipe to what lies outside the screen. A thought comes
before every gesture but those of one unit: the keys of one number or word, the swipe
before its tap (rules 0 to 2 of the book, in short). Waiting for an answer (R) is left out:
it is the machine's, not the hand's.

    hands = Gestures(page)          # before the page is opened
    hands.start()
    hands.tap("text=Read"); page.keyboard.type("31")
    made = hands.made()
    assert str(made) == "1 taps, 2 keys: MPB MHKK = 4.9 s"

Taps and keys are recorded in the page, however they came about; swipes only where the tap
goes through ``hands.tap``. What ``fill`` puts into a field is no gesture: tap or type it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from playwright.sync_api import Page

SWIPE = 0.75  # of the screen's height

SECONDS = {"K": 0.28, "P": 1.10, "B": 0.10, "H": 0.40, "M": 1.35}
TAP = "PB"

# Runs in the page, before its own scripts. Session storage outlives a navigation.
RECORDER = """(() => {
  const note = (what) => {
    const made = JSON.parse(sessionStorage.getItem("gestures") ?? "[]");
    sessionStorage.setItem("gestures", JSON.stringify([...made, what]));
  };
  const field = () => document.querySelector(".cell.on input")?.name ?? "";
  const unit = (node) => (node.closest?.(".keypad") ? `keypad for ${field()}` : "");
  const tapped = (event) => note({ kind: "tap", unit: unit(event.target) });
  addEventListener("DOMContentLoaded", () => note({ kind: "page" }));
  addEventListener("pointerdown", tapped, true);
  addEventListener("keydown", (event) => note({ kind: "key", unit: event.key }), true);
})();"""


@dataclass(frozen=True)
class Made:
    """What was done between two moments. ``pages``: how often another page was loaded."""

    gestures: Sequence[dict[str, str]]

    def _count(self, kind: str) -> int:
        return sum(gesture["kind"] == kind for gesture in self.gestures)

    @property
    def taps(self) -> int:
        return self._count("tap")

    @property
    def swipes(self) -> int:
        return self._count("swipe")

    @property
    def keys(self) -> int:
        return self._count("key")

    @property
    def pages(self) -> int:
        return self._count("page")

    @property
    def operators(self) -> str:
        """The model's letters in order, a space before each unit."""
        found, before = "", {"kind": "", "unit": ""}
        for gesture in self.gestures:
            kind = gesture["kind"]
            if kind == "page":
                continue
            if not _same_unit(before, gesture):
                found += " M"
            if kind == "key" and before["kind"] != "key":
                found += "H"
            found += "K" if kind == "key" else TAP
            before = gesture
        return found.strip()

    @property
    def seconds(self) -> float:
        return seconds(self.operators)

    def __str__(self) -> str:
        counted = [(self.taps, "taps"), (self.keys, "keys"), (self.swipes, "swipes")]
        words = ", ".join(f"{number} {word}" for number, word in counted if number)
        return f"{words}: {self.operators} = {self.seconds:.1f} s"


def _same_unit(before: dict[str, str], gesture: dict[str, str]) -> bool:
    """Keys of one word until a Tab; the keypad's for one field; a swipe and its tap."""
    if before["kind"] == "swipe":
        return True
    if gesture["kind"] == "key":
        return before["kind"] == "key" and before["unit"] != "Tab"
    return gesture["kind"] == "tap" and gesture["unit"] != "" and before == gesture


def seconds(operators: str) -> float:
    """The time of a row of operators.

    >>> round(seconds("PB P B"), 1)
    2.4
    """
    return sum(SECONDS[letter] for letter in operators.replace(" ", ""))


class Gestures:
    """Records what is really tapped and typed on a page, across the pages it goes on to."""

    def __init__(self, page: Page) -> None:
        self.page = page
        page.add_init_script(RECORDER)

    def start(self) -> None:
        self.page.evaluate("sessionStorage.removeItem('gestures')")

    def tap(self, selector: str) -> None:
        """Tap what the selector finds first, after the swipes a hand would need to see it."""
        found = self.page.locator(selector).first
        found.wait_for()
        place = found.evaluate("node => node.getBoundingClientRect().toJSON()")
        height = self.page.evaluate("innerHeight")
        hidden = max(place["bottom"] - height, -place["top"], 0)
        swipe = "sessionStorage.setItem('gestures', JSON.stringify(JSON.parse("
        swipe += "sessionStorage.getItem('gestures') ?? '[]').concat({ kind: 'swipe' })))"
        for _ in range(ceil(hidden / (height * SWIPE))):
            self.page.evaluate(swipe)
        found.tap()

    def made(self) -> Made:
        return Made(self.page.evaluate("JSON.parse(sessionStorage.getItem('gestures') ?? '[]')"))
