"""The demo's earlier days: short, told as data in fixtures/earlier_days.json.

A change there is a finding after one outing, what was moved for it, and the judgement
after the next; one that was not seen is put back. So the evidence has something to count.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from jobs.advice.selectors import catalogue
from jobs.trackday.models import Trackday, Venue

from .acts import conditions, keep, move, readings, told
from .acts import laps as laps_read
from .day import day_import
from .house import fixture, venue_build
from .readings import counts, reading
from .stage import Payload, Stage, Step
from .tyres import tyres_fit

Told = dict[str, Any]
EVENING = 18 * 60.0


def earlier_days_play(*, home: Venue, before: date) -> None:
    """Every earlier day, played whole; its clock then stands still. Once in a database."""
    if Trackday.objects.exists():
        return
    for given in fixture("earlier_days.json"):
        venue = venue_build(dict(given["venue"])) if "venue" in given else home
        on = before - timedelta(days=given["days_before"])
        stage = Stage(day_import(venue=venue, on=on, name=given["name"], refs=given["refs"]))
        settled = given.get("settled")
        stays = [settled["ref"]] if settled else []
        tyres_fit(trackday=stage.trackday, worn=True, stays=[stage.entries[ref] for ref in stays])
        for step in sorted(_steps(stage, given), key=lambda step: step.at):
            stage.play(step)
        stage.clock_set(EVENING)
        Trackday.objects.filter(pk=stage.trackday.pk).update(clock_rate=0)


def _steps(stage: Stage, given: Told) -> Iterator[Step]:
    yield conditions("07:30", given["air_c"], given["track_c"])
    for place, ref in enumerate(given["refs"]):
        at = 7 * 60 + 40 + place
        yield move(at, "pim", ref, "arrived")
        yield _count(at + 0.5, ref)
    for row in given["changes"]:
        yield from _change(stage, row)
    if "settled" in given:
        yield from _settled(stage, **given["settled"])


def _count(at: float, ref: int) -> Step:
    def payload(stage: Stage) -> Payload:
        return {"entry": stage.entries[ref].pk, "counts": counts(stage, ref)}

    return Step(at, "pim", "count", payload, f"count {ref}")


def came_in(stage: Stage, ref: int, outing: int) -> float:
    """When a bike stands in its bay again after an outing; these days ran on time."""
    session = stage.sessions[stage.entries[ref].group.letter, outing]
    return stage.minute_of(session.planned_end) + 2.0


def _change(stage: Stage, row: Told) -> Iterator[Step]:
    """What was read and said, the change, and its judgement after the next outing."""
    ref, name = row["ref"], f"{row['ref']} {row['function']} {row['after']}"
    stop, later = came_in(stage, ref, row["after"]), came_in(stage, ref, row["after"] + 1)
    yield from readings(stop + 2, ref, _read(row), name)
    yield told(
        stop + 6, ref, row["code"], end=row["end"], phase=row["phase"],
        corner=row.get("corner", ""), words=row.get("words", ""), name=f"found {name}",
    )  # fmt: skip
    # The way back from the change before it comes first, half a minute earlier.
    changes = stop + (10 if "second_reason" in row else 8)
    yield Step(changes, "roan", "change", lambda s: _moved(s, row, name), name)
    yield Step(later + 5, "roan", "judgement", lambda s: _judged(s, row, name), f"judged {name}")
    if row["verdict"] == "not_seen":
        yield Step(later + 7, "roan", "change", lambda s: _back(s, row), f"back {name}")
    if "keep" in row:
        yield keep(later + 9, ref, "dry", row["keep"])


def _read(row: Told) -> list[Payload]:
    end, found = row["end"], []
    if "pressure" in row:
        found.append(
            {**reading("pressure", end, "psi", pressure=row["pressure"]), "tyre_state": "track"}
        )
    if "push" in row:
        found.append(reading("push", end, "s", seconds=row["push"]))
    if "travel" in row:
        found.append(reading("travel", end, "mm", used=row["travel"]))
    return found


def _moved(stage: Stage, row: Told, name: str) -> Payload:
    return {
        **_moves(stage, row, Decimal(row["by"])),
        "reason": row.get("words", ""),
        "read_back": True,
        "expectation": catalogue().findings[row["code"]].next,
        "finding": str(stage.act_id(f"found {name}")),
        "second_reason": row.get("second_reason", ""),
    }


def _back(stage: Stage, row: Told) -> Payload:
    moves = _moves(stage, row, -Decimal(row["by"]))
    return {**moves, "reason": "not seen: put back first", "read_back": True}


def _moves(stage: Stage, row: Told, by: Decimal) -> Payload:
    """Both legs of a pair; a tyre pressure starts where ``from`` says and is set off track."""
    moves, tyre_state = [], ""
    for adjuster in stage.adjuster(row["ref"], row["end"], row["function"]):
        if "from" in row:
            tyre_state = "track"
            start = Decimal(row["from"]) + (Decimal(row["by"]) - by) / 2
        else:
            start = stage.stands_at(adjuster)
        moves.append(
            {"adjuster": adjuster.pk, "from_position": str(start), "to_position": str(start + by)}
        )
    return {"entry": stage.entries[row["ref"]].pk, "moves": moves, "tyre_state": tyre_state}


def _judged(stage: Stage, row: Told, name: str) -> Payload:
    return {
        "expectation": stage.expectation_id(name),
        "verdict": row["verdict"],
        "like_pace": True,
        "words": row["judged"],
    }


def _settled(stage: Stage, ref: int, laps: list[list[float]]) -> Iterator[Step]:
    """Two outings alike: clean tyres, three quarters of the travel, nothing to complain of."""
    stop = 0.0
    for outing, times in enumerate(laps, 1):
        stop = came_in(stage, ref, outing)
        for place, end in enumerate(("front", "rear")):
            yield told(stop + 3 + place, ref, "clean", end=end, name=f"clean {end} {outing}")
            used = reading("travel", end, "mm", used=92 if end == "front" else 96)
            yield from readings(stop + 5 + place, ref, [used], f"settled {outing} {end}")
        yield told(stop + 7, ref, "content", name=f"content {outing}")
        yield laps_read(stop + 8, ref, times)
    yield Step(
        stop + 9, "roan", "settle", lambda s: {"entry": s.entries[ref].pk}, f"settle {ref}"
    )  # fmt: skip
