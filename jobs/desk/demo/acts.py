"""The acts of the demo as functions, each giving the steps that apply it."""

from decimal import Decimal
from typing import Any

from jobs.acts.enums import Outcome
from jobs.worklist.models import ChecklistItem

from .player import DayPlayer, Payload, StoryStep, minute

At = str | float


def _at(at: At) -> float:
    return float(minute(at)) if isinstance(at, str) else at


def tick(
    at: At,
    by: str,
    ref: int,
    code: str,
    *,
    outing: int | None = None,
    name: str = "",
    failed: str = "",
    **entered: Any,
) -> StoryStep:
    """A task ticked, every point passed but ``failed``; callables in ``entered`` get the player."""

    def payload(player: DayPlayer) -> Payload:
        item = player.items[code]
        found = {key: v(player) if callable(v) else v for key, v in entered.items()}
        return {
            **_task(player, ref, outing, item),
            "points": {p["code"]: "fail" if p["code"] == failed else "pass" for p in item.points},
            **found,
        }

    return StoryStep(_at(at), by, "tick", payload, name or f"{code} {ref} {outing or ''}")


def begin(at: At, by: str, ref: int, code: str) -> StoryStep:
    """“I am on it”: with the tick that follows it says how long the task took."""
    return StoryStep(
        _at(at), by, "start task", lambda s: _task(s, ref, None, s.items[code]), f"on {code} {ref}"
    )


def _task(player: DayPlayer, ref: int, outing: int | None, item: ChecklistItem) -> Payload:
    entry = player.entries[ref]
    session = player.sessions[entry.group.letter, outing].pk if outing else None
    return {"entry": entry.pk, "session": session, "item": item.pk}


def joins(at: At, name: str) -> StoryStep:
    return StoryStep(
        _at(at),
        name,
        "crew joins",
        lambda s: {"trackday": s.trackday.pk, "user": s.crew[name].pk},
        f"{name} joins",
    )


def skip(at: At, by: str, ref: int, code: str, reason: str, outing: int | None = None) -> StoryStep:
    def payload(player: DayPlayer) -> Payload:
        return {**_task(player, ref, outing, player.items[code]), "reason": reason}

    return StoryStep(_at(at), by, "skip", payload, f"skip {code} {ref} {outing or ''}")


def move(at: At, by: str, ref: int, kind: str) -> StoryStep:
    """``arrived``, ``did not go out``, ``gone home``."""
    return StoryStep(
        _at(at), by, kind, lambda s: {"entry": s.entries[ref].pk}, f"{kind} {ref} {at}"
    )


def change(
    at: At,
    ref: int,
    end: str,
    function: str,
    by_steps: str,
    reason: str,
    *,
    name: str,
    expects: str = "",
    found: str = "",
    wrong_by: int = 0,
    read_back: bool = True,
    step_reason: str = "",
) -> StoryStep:
    """The tuner moves an adjuster by so much (both legs are one act).

    ``found``: the name of the step that told the finding it is made for.

    ``wrong_by``: the tuner remembers where it stood by that many steps too many, so that the
    change does not fit the book and is kept unplaced.
    """

    def payload(player: DayPlayer) -> Payload:
        moves = []
        for adjuster in player.adjuster(ref, end, function):
            start = player.stands_at(adjuster) + wrong_by * adjuster.step
            to = start + Decimal(by_steps)
            moves.append(
                {"adjuster": adjuster.pk, "from_position": str(start), "to_position": str(to)}
            )
        return {
            "entry": player.entries[ref].pk,
            "moves": moves,
            "reason": reason,
            "read_back": read_back,
            "expectation": expects,
            "finding": str(player.act_id(found)) if found else None,
            "step_reason": step_reason,
        }

    ends_as = Outcome.UNPLACED if wrong_by else Outcome.APPLIED
    return StoryStep(_at(at), "roan", "change", payload, name, ends_as)


def pressure_set(
    at: At, ref: int, end: str, was: str, to: str, reason: str, *, name: str, expects: str = "",
    found: str = "",
) -> StoryStep:  # fmt: skip
    def payload(player: DayPlayer) -> Payload:
        [adjuster] = player.adjuster(ref, end, "tyre_pressure")
        move = {"adjuster": adjuster.pk, "from_position": was, "to_position": to}
        return {
            "entry": player.entries[ref].pk,
            "moves": [move],
            "reason": reason,
            "step_reason": reason,
            "tyre_state": "track",
            "expectation": expects,
            "finding": str(player.act_id(found)) if found else None,
        }

    return StoryStep(_at(at), "roan", "change", payload, name)


def judged(
    at: At, ref: int, outing: int, change_name: str, verdict: str, words: str
) -> list[StoryStep]:
    """The expectation of a change judged after an outing, and its task ticked."""

    def payload(player: DayPlayer) -> Payload:
        return {
            "expectation": player.expectation_id(change_name),
            "verdict": verdict,
            "like_pace": True,
            "words": words,
        }

    when = _at(at)
    return [
        StoryStep(when, "roan", "judgement", payload, f"judged {change_name}"),
        tick(when + 0.5, "roan", ref, "judge", outing=outing),
    ]


def said(
    at: At, ref: int, outing: int, words: str, *, end: str = "", phase: str = "", corner: str = ""
) -> StoryStep:
    """The rider's own words, taken down by the tuner."""
    entered = [{"words": words, "end": end, "phase": phase, "corner": corner}]
    return tick(at, "roan", ref, "words", outing=outing, said=entered)


def told(
    at: At, ref: int, code: str, *, name: str, end: str = "", phase: str = "", corner: str = "",
    words: str = "",
) -> StoryStep:  # fmt: skip
    """What was seen or said, as the catalogue calls it; the rider's own ``words`` with it."""
    fields = {"code": code, "end": end, "phase": phase, "corner": corner, "words": words}
    return StoryStep(
        _at(at),
        "roan",
        "finding",
        lambda s: {"entry": s.entries[ref].pk, **fields, "by_rider": bool(words)},
        name,
    )


def readings(at: float, ref: int, found: list[Payload], name: str) -> list[StoryStep]:
    """Readings one after the other, a quarter of a minute each."""
    return [
        StoryStep(
            at + place / 4, "pim", "reading",
            lambda s, one=one: {"entry": s.entries[ref].pk, **one},  # type: ignore[misc]
            f"read {name} {place}",
        )
        for place, one in enumerate(found)
    ]  # fmt: skip


def hold(at: At, by: str, ref: int, words: str, *, name: str) -> StoryStep:
    return StoryStep(
        _at(at), by, "hold", lambda s: {"entry": s.entries[ref].pk, "words": words}, name
    )


def release(at: At, hold_id: Any, reason: str) -> StoryStep:
    """``hold_id`` is asked of the player: the hold's act has the id."""
    return StoryStep(
        _at(at), "roan", "release", lambda s: {"hold": str(hold_id(s)), "reason": reason},
        f"release {at}",
    )  # fmt: skip


def delay(at: At, minutes: int, reason: str) -> StoryStep:
    return StoryStep(
        _at(at),
        "roan",
        "delay",
        lambda s: {"trackday": s.trackday.pk, "minutes": minutes, "reason": reason},
        f"delay {at}",
    )


def conditions(at: At, air: float, track: float, wind: str = "") -> StoryStep:
    return StoryStep(
        _at(at),
        "pim",
        "conditions",
        lambda s: {"trackday": s.trackday.pk, "air_c": air, "track_c": track, "wind": wind},
        f"conditions {at}",
    )


def keep(at: At, ref: int, kind: str, name: str) -> StoryStep:
    """Every adjuster as it stands, kept under a name."""
    return StoryStep(
        _at(at),
        "roan",
        "keep",
        lambda s: {"entry": s.entries[ref].pk, "kind": kind, "name": name},
        f"keep {ref} {at}",
    )


def wear(at: At, ref: int, end: str, left: float, centre: float, right: float) -> StoryStep:
    """Groove depths at the three fixed places, mm."""
    places = {"left": left, "centre": centre, "right": right}
    values = [{"name": name, "value": str(mm), "unit": "mm"} for name, mm in places.items()]
    return StoryStep(
        _at(at),
        "sunniva",
        "reading",
        lambda s: {"entry": s.entries[ref].pk, "kind": "wear", "end": end, "values": values},
        f"wear {ref} {at}",
    )


def laps(at: At, ref: int, times: list[float]) -> StoryStep:
    values = [
        {"name": "lap", "value": str(time), "unit": "s", "index": index}
        for index, time in enumerate(times, 1)
    ]
    return StoryStep(
        _at(at),
        "pim",
        "reading",
        lambda s: {"entry": s.entries[ref].pk, "kind": "laps", "values": values},
        f"laps {ref} {at}",
    )
