"""The work of two helpers through the day; as on a real day, not everything can be done.

Each helper has fixed work, tied to a stop or a roll, and fills the time between with the
arrivals. Times are minutes since local midnight.
"""

from collections.abc import Callable, Iterator
from typing import Any

from .acts import tick
from .player import DayPlayer, StoryStep
from .readings import counts, pressures, push, sag, temperatures, travel
from .story import FENNA, GUS, KASPER, MILA, OSKAR

HELPERS = ("pim", "sunniva")
FIRST = 6 * 60 + 50
# What the story's delays do to the timetable: before lunch, and after it.
LATE_MORNING, LATE_AFTERNOON = 10.0, 5.0
OUTINGS = range(1, 7)
OSKARS_LAST = 3  # goes home with a leaking seal
ADVICE = (FENNA, KASPER)

Entered = Callable[[DayPlayer], list[dict[str, Any]]]
Job = tuple[float, Callable[[float], StoryStep]]  # how long it takes, and the act at its start


def routine(player: DayPlayer) -> list[StoryStep]:
    found: list[StoryStep] = []
    for lane, helper in enumerate(HELPERS):
        fixed = sorted(_fixed(player, lane, helper), key=lambda job: job[0])
        found += _walked(list(_arrivals(lane, helper)), fixed)
    return [*found, *_last(player)]


def _walked(arrivals: list[Job], fixed: list[tuple[float, StoryStep]]) -> list[StoryStep]:
    """Arrivals one after the other, wherever they fit before the next fixed piece of work."""
    found, now = [], float(FIRST)
    for at, step in fixed:
        while arrivals and now + arrivals[0][0] <= at:
            minutes, make = arrivals.pop(0)
            now += minutes
            found.append(make(now))
        now = max(now, at + 0.8)
        found.append(step)
    return found


def _arrivals(lane: int, helper: str) -> Iterator[Job]:
    """In the order the groups roll, every second bike; those of the story are elsewhere."""
    for ref in range(1 + lane, 25, 2):
        if ref == FENNA:
            continue
        yield _job(2.0, helper, ref, "identify")
        if ref in ADVICE:
            continue
        if ref != MILA:
            yield _job(4.0, helper, ref, "safety")
        yield _job(1.5, helper, ref, "cold-pressures", readings=_pressures(ref, "cold", 0))
        yield _job(3.5, helper, ref, "count", counts=_found(ref))
        if ref % 3 == 1:
            yield _job(1.5, helper, ref, "push-cold", readings=push(ref, cold=True))
        if ref in (2, 7, 16):
            yield _job(4.0, helper, ref, "sag", readings=sag(ref))


def _job(minutes: float, helper: str, ref: int, code: str, **entered: Any) -> Job:
    return minutes, lambda at: tick(at, helper, ref, code, **entered)


def _pressures(ref: int, state: str, lap: int) -> Entered:
    return lambda player: pressures(player, ref, state, lap)


def _hot(ref: int, lap: int) -> Entered:
    return lambda player: [*pressures(player, ref, "track", lap), *temperatures(ref, lap)]


def _found(ref: int) -> Entered:
    return lambda player: counts(player, ref)


def _fixed(player: DayPlayer, lane: int, helper: str) -> Iterator[tuple[float, StoryStep]]:
    for letter in "ABCD":
        for outing in OUTINGS:
            bikes = [ref for ref in _of_group(player, letter) if _goes_out(ref, outing)]
            mine = [ref for ref in bikes if ref % 2 == lane]
            turned = mine[outing % len(mine) :] + mine[: outing % len(mine)]
            roll = _start(player, letter, outing)
            yield from _pre_grid(helper, turned, roll, outing)
            yield from _returned(helper, turned, roll + 22, outing)


def _of_group(player: DayPlayer, letter: str) -> list[int]:
    return sorted(
        ref
        for ref, entry in player.entries.items()
        if entry.group.letter == letter and ref not in ADVICE
    )


def _goes_out(ref: int, outing: int) -> bool:
    if ref == MILA and outing == 1:
        return False
    return ref != OSKAR or outing <= OSKARS_LAST


def _start(player: DayPlayer, letter: str, outing: int) -> float:
    """When a session really starts, with the delays of the story."""
    planned = player.minute_of(player.sessions[letter, outing].planned_start)
    return planned + (LATE_MORNING if outing <= 3 else LATE_AFTERNOON)


def _pre_grid(
    helper: str, refs: list[int], roll: float, outing: int
) -> Iterator[tuple[float, StoryStep]]:
    for place, ref in enumerate(refs):
        if ref == GUS and outing == 1:
            continue  # comes late and is not reached
        at = roll - 9.5 + place * 1.4
        yield at, tick(at, helper, ref, "pre-grid", outing=outing)


def _returned(
    helper: str, refs: list[int], stop: float, outing: int
) -> Iterator[tuple[float, StoryStep]]:
    """Two of three are reached while they are hot; the third only gets its ring read."""
    for place, ref in enumerate(refs[:2]):
        if ref == 7 and outing == 1:
            continue  # the look-alikes of the story
        at = stop + 0.3 + place * 1.5
        yield at, tick(
            at, helper, ref, "hot-reads", outing=outing,
            readings=_hot(ref, outing),
        )  # fmt: skip
        at = stop + 3.2 + place
        yield (
            at,
            tick(
                at,
                helper,
                ref,
                "hot-push",
                outing=outing,
                readings=push(ref, cold=False, lap=outing),
            ),
        )
    for place, ref in enumerate(refs):
        at = stop + 6 + place
        yield at, tick(at, helper, ref, "ring", outing=outing, readings=travel(ref, outing))


def _last(player: DayPlayer) -> Iterator[StoryStep]:
    """After the last outing: the count against the record, then the tuner hands over."""
    for letter in "ABCD":
        stop = _start(player, letter, 6) + 22
        for place, ref in enumerate(r for r in _of_group(player, letter) if _goes_out(r, 6)):
            at = stop + 9.5 + place * 1.5
            yield tick(at, HELPERS[ref % 2], ref, "last-count", counts=_as_recorded(ref))
            if place < 3:
                at = stop + 12 + place * 6
                yield tick(at, "roan", ref, "hand-over")


def _as_recorded(ref: int) -> Entered:
    def payload(player: DayPlayer) -> list[dict[str, Any]]:
        counted = player.adjusters(ref)
        return [
            {"adjuster": a.pk, "position": str(player.stands_at(a))}
            for a in counted
            if a.function != "tyre_pressure" and a.usable
        ]

    return payload
