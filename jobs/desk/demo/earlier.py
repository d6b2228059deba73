"""The demo's earlier days: short, told as data in fixtures/earlier_days.json.

A change there is a finding after one outing, what was moved for it, and the judgement
after the next; one that was not seen is put back. So the evidence has something to count.
"""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from jobs.advice.selectors import catalogue
from jobs.trackday.models import Trackday, Venue

from .acts import begin, conditions, keep, move, readings, tick, told
from .acts import laps as laps_read
from .business import fixture, venue_build
from .day import day_import
from .player import DayPlayer, Payload, StoryStep, spread
from .readings import counts, pressures, reading, ring
from .routine import HELPERS
from .tyres import tyres_fit

DayData = dict[str, Any]
EVENING = 18 * 60.0
ARRIVAL, EACH_BIKE = 7 * 60.0 + 20, 22.0  # when the first comes; minutes from one to the next
# How long work on arrival takes, give or take a third: the checklists say 3, 5, 2 and 4.
TAKES = {"identify": 2.6, "safety": 4.8, "cold-pressures": 2.1, "count": 5.8}


def earlier_days_play(*, home: Venue, before: date) -> None:
    """Every earlier day, played whole; its clock then stands still. Once in a database."""
    if Trackday.objects.exists():
        return
    for given in fixture("earlier_days.json"):
        venue = venue_build(dict(given["venue"])) if "venue" in given else home
        on = before - timedelta(days=given["days_before"])
        player = DayPlayer(day_import(venue=venue, on=on, name=given["name"], refs=given["refs"]))
        settled = given.get("settled")
        stays = [settled["ref"]] if settled else []
        tyres_fit(trackday=player.trackday, worn=True, stays=[player.entries[ref] for ref in stays])
        for step in sorted(_steps(player, given), key=lambda step: step.at):
            player.play(step)
        player.clock_set(EVENING)
        Trackday.objects.filter(pk=player.trackday.pk).update(clock_rate=0)


def _steps(player: DayPlayer, given: DayData) -> Iterator[StoryStep]:
    yield conditions("07:30", given["air_c"], given["track_c"])
    for lane, helper in enumerate(HELPERS):
        for place, ref in enumerate(given["refs"][lane::2]):
            yield from _arrival(ARRIVAL + place * EACH_BIKE, helper, ref)
    for row in given["changes"]:
        yield from _change(player, row)
    if "settled" in given:
        yield from _settled(player, **given["settled"])


def _arrival(at: float, helper: str, ref: int) -> Iterator[StoryStep]:
    """One bike's work on arrival, each task begun by a tap and ended by another."""
    yield move(at, helper, ref, "arrived")
    for code, minutes in TAKES.items():
        took = minutes * (1 + spread(f"{ref} {code}", 6) / 20)
        entered: dict[str, Any] = {
            "count": {"counts": _found(ref)},
            "cold-pressures": {"readings": _cold(ref)},
        }.get(code, {})
        yield begin(at + 0.2, helper, ref, code)
        yield tick(at + 0.2 + took, helper, ref, code, **entered)
        at += 0.2 + took


def _found(ref: int) -> Callable[[DayPlayer], list[Payload]]:
    return lambda player: counts(player, ref)


def _cold(ref: int) -> Callable[[DayPlayer], list[Payload]]:
    return lambda player: pressures(player, ref, "cold", 0)


def came_in(player: DayPlayer, ref: int, outing: int) -> float:
    """When a bike stands in its bay again after an outing; these days ran on time."""
    session = player.sessions[player.entries[ref].group.letter, outing]
    return player.minute_of(session.planned_end) + 2.0


def _change(player: DayPlayer, row: DayData) -> Iterator[StoryStep]:
    """What was read and said, the change, and its judgement after the next outing."""
    ref, name = row["ref"], f"{row['ref']} {row['function']} {row['after']}"
    stop, later = came_in(player, ref, row["after"]), came_in(player, ref, row["after"] + 1)
    yield from readings(stop + 2, ref, _read(row), name)
    yield told(
        stop + 6, ref, row["code"], end=row["end"], phase=row["phase"],
        corner=row.get("corner", ""), words=row.get("words", ""), name=f"found {name}",
    )  # fmt: skip
    # The way back from the change before it comes first, half a minute earlier.
    changes = stop + (10 if "second_reason" in row else 8)
    yield StoryStep(changes, "roan", "change", lambda s: _moved(s, row, name), name)
    yield StoryStep(
        later + 5, "roan", "judgement", lambda s: _judged(s, row, name), f"judged {name}"
    )
    if row["verdict"] == "not_seen":
        yield StoryStep(later + 7, "roan", "change", lambda s: _back(s, row), f"back {name}")
    if "keep" in row:
        yield keep(later + 9, ref, "dry", row["keep"])


def _read(row: DayData) -> list[Payload]:
    end, found = row["end"], []
    if "pressure" in row:
        found.append(
            {**reading("pressure", end, "psi", pressure=row["pressure"]), "tyre_state": "track"}
        )
    if "push" in row:
        found.append(reading("push", end, "s", seconds=row["push"]))
    if "travel" in row:
        found.append(ring(end, row["travel"]))
    return found


def _moved(player: DayPlayer, row: DayData, name: str) -> Payload:
    return {
        **_moves(player, row, Decimal(row["by"])),
        "reason": row.get("words", ""),
        "read_back": True,
        "expectation": catalogue().findings[row["code"]].next,
        "finding": str(player.act_id(f"found {name}")),
        "second_reason": row.get("second_reason", ""),
    }


def _back(player: DayPlayer, row: DayData) -> Payload:
    moves = _moves(player, row, -Decimal(row["by"]))
    return {**moves, "reason": "not seen: put back first", "read_back": True}


def _moves(player: DayPlayer, row: DayData, by: Decimal) -> Payload:
    """Both legs of a pair; a tyre pressure starts where ``from`` says and is set off track."""
    moves, tyre_state = [], ""
    for adjuster in player.adjuster(row["ref"], row["end"], row["function"]):
        if "from" in row:
            tyre_state = "track"
            start = Decimal(row["from"]) + (Decimal(row["by"]) - by) / 2
        else:
            start = player.stands_at(adjuster)
        moves.append(
            {"adjuster": adjuster.pk, "from_position": str(start), "to_position": str(start + by)}
        )
    return {"entry": player.entries[row["ref"]].pk, "moves": moves, "tyre_state": tyre_state}


def _judged(player: DayPlayer, row: DayData, name: str) -> Payload:
    return {
        "expectation": player.expectation_id(name),
        "verdict": row["verdict"],
        "like_pace": True,
        "words": row["judged"],
    }


def _settled(player: DayPlayer, ref: int, laps: list[list[float]]) -> Iterator[StoryStep]:
    """Two outings alike: clean tyres, travel used as it should be, nothing to complain of."""
    stop = 0.0
    for outing, times in enumerate(laps, 1):
        stop = came_in(player, ref, outing)
        for place, end in enumerate(("front", "rear")):
            yield told(stop + 3 + place, ref, "clean", end=end, name=f"clean {end} {outing}")
            used = ring(end, 95 if end == "front" else 48)
            yield from readings(stop + 5 + place, ref, [used], f"settled {outing} {end}")
        yield told(stop + 7, ref, "content", name=f"content {outing}")
        yield laps_read(stop + 8, ref, times)
    yield StoryStep(
        stop + 9, "roan", "settle", lambda s: {"entry": s.entries[ref].pk}, f"settle {ref}"
    )  # fmt: skip
