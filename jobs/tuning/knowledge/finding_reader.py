"""Read one finding from its open form (a table of a TOML file) and check every word of it.

Each fault is reported with the finding's code and its place, so that a business that writes its
own findings knows what to correct.
"""

import math
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from ..refusal import Refused
from ..terms import MEASURED_FUNCTIONS, AdjusterFunction, End, Phase
from ..words import Words, _
from .catalogue import (
    FAMILIES,
    CatalogueFinding,
    CauseKind,
    ChangeDirection,
    ChangeStep,
    GoodSign,
    Quantity,
    Sign,
    StopAction,
    StopCondition,
    Suspect,
)
from .conditions import Condition, parse
from .facts import FACT_KINDS
from .table_reader import FindingFault, InvalidFinding, TableReader, in_order, word_of

TEXTS = ("title", "see", "check", "step", "next", "worse", "stop", "source_note", "disagreement")
KEYS = frozenset({*TEXTS, "family", "ends", "phases", "sources", "suspects", "steps", "stops"})
SUSPECT_KEYS = frozenset(
    {"text", "kinds", "when", "unless", "ask", "check", "say", "do", "word_first"}
)
STEP_KEYS = frozenset(
    {"suspect", "function", "direction", "size", "unit", "when", "unless", "end", "after",
     "instead_of", "expect", "share"}
)  # fmt: skip
STOP_KEYS = frozenset({"text", "action", "when"})
# Codes of the first list of sources. A finding that a business wrote then may still name them.
RETIRED_SOURCES = frozenset(
    [
        "LOU",
        "UKR",
        "CN",
        "RT",
        "FB20",
        "FB18",
        "BSS",
        "RC",
        "MCN12",
        "MCN17",
        "MCN18",
        "MCN24",
        "TWT",
        "MAI",
        "KAW",
        "AMZ",
        "BM",
        "TMRC",
        "RF",
        "HD",
        "OH1",
        "OH2",
        "OH3",
        "LAC",
        "LAR",
        "DUF",
        "DRZ",
        "BR1",
        "BR2",
        "PRO",
        "BK19",
        "VER",
        "MDC",
        "KC",
        "RLC",
        "ZX",
        "EF",
        "CWW",
        "CW08",
        "MPF",
        "WCS",
        "VTR",
        "SN",
        "MXA",
        "RTY",
        "BIB",
        "CT",
        "SL",
        "ST",
        "ADB",
        "TWF",
        "RTK",
    ]
)
MOST_SHARE = 50  # of an adjuster's range in one step; more than half is another setup
UNITS = ("click", "turn", "mm", "N/mm", "psi")
# What a hot push test must show before rebound is set softer (slow) or firmer (fast).
SLOW_RETURN = frozenset({"slow", "very_slow"})
FAST_RETURN = frozenset({"fast", "bouncing"})


def finding_read(
    code: str,
    table: Mapping[str, Any],
    *,
    family: str = "",
    sources: Mapping[str, str] | None = None,
    own: bool = False,
) -> CatalogueFinding:
    """A finding from its table; :class:`InvalidFinding` says everything in it that cannot be used.

    ``family`` is where it is met if the table does not say so itself.

    >>> soft = finding_read("X1", {"title": "Soft", "ends": ["rear"], "see": "It sinks."})
    >>> soft.ends, soft.sources
    ((<End.REAR: 'rear'>,), ())
    """
    faults: list[FindingFault] = []
    row = TableReader(table, (), faults)
    found = _finding(code, row, family, own)
    if not faults:
        _check(found, row, sources)
    if faults:
        raise InvalidFinding(code, faults)
    return found


def good_read(code: str, table: Mapping[str, Any]) -> GoodSign:
    """Something good from its table."""
    pace = table.get("pace", "")
    if pace and pace not in FACT_KINDS["pace"].states:
        raise Refused(_("{code}: “{pace}” is no pace.", code=code, pace=pace))
    title, see = Words(table["title"]), Words(table["see"])
    return GoodSign(code, title, ends_read(table["ends"]), see, pace)


def ends_read(words: Any) -> tuple[End, ...]:
    """The ends. ``["both"]`` is the whole bike, which gives no end."""
    if words == ["both"]:
        return ()
    if not isinstance(words, list):
        raise Refused(_("“{key}” must be a list.", key="ends"))
    return in_order(End, tuple(word_of(End, "end")(word) for word in words))


def _finding(code: str, row: TableReader, family: str, own: bool) -> CatalogueFinding:
    row.only(KEYS)
    row.needs("title", "ends", "see")
    return CatalogueFinding(
        code=code,
        family=row.one("family", _family, family),
        ends=row.one("ends", ends_read, ()),
        phases=in_order(Phase, row.each("phases", word_of(Phase, "phase"))) or (Phase.ANY,),
        sources=tuple(sorted(set(row.each("sources", _string)) - RETIRED_SOURCES)),
        suspects=tuple(_suspect(n, part) for n, part in enumerate(row.rows("suspects"), 1)),
        steps=tuple(_step(part) for part in row.rows("steps")),
        stops=tuple(_stop(part) for part in row.rows("stops")),
        own=own,
        **{name: row.text(name) for name in TEXTS},
    )


def _suspect(order: int, row: TableReader) -> Suspect:
    row.only(SUSPECT_KEYS)
    row.needs("text", "kinds")
    return Suspect(
        order=order,
        kinds=in_order(CauseKind, row.each("kinds", word_of(CauseKind, "kind"))),
        when=row.each("when", _condition),
        unless=row.each("unless", _condition),
        word_first=row.flag("word_first"),
        **{name: row.text(name) for name in ("text", "ask", "check", "say", "do")},
    )


def _step(row: TableReader) -> ChangeStep:
    row.only(STEP_KEYS)
    row.needs("suspect", "function", "direction", "size", "unit")
    low, high = row.one("size", _size, (Decimal(1), Decimal(1)))
    expect = row.each("expect", _sign)
    if len({sign.quantity for sign in expect}) < len(expect):
        row.wrong("expect", _("a quantity moves one way only."))
    return ChangeStep(
        suspect=row.one("suspect", _order, 1),
        function=row.one(
            "function", word_of(AdjusterFunction, "function"), AdjusterFunction.PRELOAD
        ),
        direction=row.one(
            "direction", word_of(ChangeDirection, "direction"), ChangeDirection.FIRMER
        ),
        low=low,
        high=high,
        unit=row.one("unit", _unit, "click"),
        when=row.one("when", _condition, None),
        unless=row.each("unless", _condition),
        end=row.one("end", word_of(End, "end"), None),
        after=tuple(sorted(set(row.each("after", _order)))),
        instead_of=tuple(sorted(set(row.each("instead_of", _adjuster)))),
        expect=tuple(sorted(expect, key=lambda sign: list(Quantity).index(sign.quantity))),
        share=row.one("share", _share, None),
    )


def _stop(row: TableReader) -> StopCondition:
    row.only(STOP_KEYS)
    row.needs("text", "action")
    return StopCondition(
        row.text("text"),
        row.one("action", word_of(StopAction, "action"), StopAction.HOLD),
        row.one("when", _condition, None),
    )


def _family(word: Any) -> str:
    if word in FAMILIES:
        return str(word)
    raise Refused(
        _(
            "“{word}” is no family; it is one of {accepted}.",
            word=str(word),
            accepted=", ".join(FAMILIES),
        )
    )


def _string(word: Any) -> str:
    if isinstance(word, str):
        return word
    raise Refused(_("“{word}” must be words.", word=str(word)))


def _condition(text: Any) -> Condition:
    return parse(_string(text))


def _order(number: Any) -> int:
    if isinstance(number, int) and not isinstance(number, bool):
        return number
    raise Refused(_("“{word}” is not the number of a suspect.", word=str(number)))


def _size(sizes: Any) -> tuple[Decimal, Decimal]:
    if isinstance(sizes, list) and len(sizes) == 2:
        low, high = (_number(size) for size in sizes)
        if 0 < low <= high:
            return low, high
    raise Refused(_("a size runs from a smaller to a larger number above zero."))


def _share(given: Any) -> Decimal:
    share = _number(given)
    if 0 < share <= MOST_SHARE:
        return share
    raise Refused(
        _("a share of the counted range is above 0 and at most {most} percent.", most=MOST_SHARE)
    )


def _number(given: Any) -> Decimal:
    try:
        number = Decimal(str(given).replace(",", "."))
    except InvalidOperation:
        number = Decimal("NaN")
    if math.isfinite(number):
        return number
    raise Refused(_("“{given}” is no number.", given=str(given)))


def _unit(word: Any) -> str:
    if word in UNITS:
        return str(word)
    raise Refused(_("“{unit}” is not a unit of a step.", unit=str(word)))


def _adjuster(words: Any) -> tuple[End, AdjusterFunction]:
    end, _space, function = _string(words).partition(" ")
    return word_of(End, "end")(end), word_of(AdjusterFunction, "function")(function)


def _sign(words: Any) -> Sign:
    quantity, _space, sign = _string(words).partition(" ")
    if sign not in ("+", "-"):
        raise Refused(_("“{words}” must end in + or -.", words=words))
    return Sign(word_of(Quantity, "quantity")(quantity), 1 if sign == "+" else -1)


def _check(found: CatalogueFinding, row: TableReader, sources: Mapping[str, str] | None) -> None:
    """Faults that can only be found in the complete finding."""
    for source in found.sources:
        if sources is not None and source not in sources:
            row.wrong("sources", _("the source “{source}” is not listed.", source=source))
    if not found.ends and found.family not in ("", "rider"):
        row.wrong("ends", _("only what the rider says can be about the whole bike."))
    for suspect, part in zip(found.suspects, row.rows("suspects"), strict=True):
        _check_ends(found, part, "when", suspect.when)
        _check_ends(found, part, "unless", suspect.unless)
    for step, part in zip(found.steps, row.rows("steps"), strict=True):
        _check_step(found, step, part)
        _check_ends(found, part, "when", (step.when,) if step.when else ())
        _check_ends(found, part, "unless", step.unless)
    for stop, part in zip(found.stops, row.rows("stops"), strict=True):
        _check_ends(found, part, "when", (stop.when,) if stop.when else ())


def _check_ends(
    found: CatalogueFinding, row: TableReader, key: str, conditions: tuple[Condition, ...]
) -> None:
    for condition in conditions:
        for term in condition.terms:
            if term.end is None and FACT_KINDS[term.fact].of_end and not found.ends:
                row.wrong(key, _("“{text}” must say front or rear.", text=condition.text))


def _check_step(found: CatalogueFinding, step: ChangeStep, row: TableReader) -> None:
    orders = {suspect.order for suspect in found.suspects}
    for key, order in (("suspect", step.suspect), *(("after", order) for order in step.after)):
        if order not in orders:
            row.wrong(key, _("there is no suspect {order}.", order=order))
    if step.end is None and not found.ends:
        row.wrong("end", _("a step of a finding on the whole bike must say its end."))
    measured = step.direction in (ChangeDirection.MORE, ChangeDirection.LESS)
    if measured != (step.function in MEASURED_FUNCTIONS):
        words = {"function": step.function, "way": step.direction}
        row.wrong("direction", _("{function} does not go {way}.", **words))
    if (step.unit == "psi") != (step.function == AdjusterFunction.TYRE_PRESSURE):
        row.wrong("unit", _("a tyre pressure goes by psi, and nothing else does."))
    if step.share is not None and step.unit != "click":
        row.wrong("share", _("only an adjuster that is counted in clicks has a counted range."))
    if step.function == AdjusterFunction.REBOUND and not _needs_hot_push(step):
        row.wrong(
            "when",
            _(
                "a rebound step rests on a hot push test of that end: slow before softer, "
                "fast or bouncing before firmer."
            ),
        )


def _needs_hot_push(step: ChangeStep) -> bool:
    wanted = SLOW_RETURN if step.direction == ChangeDirection.SOFTER else FAST_RETURN
    terms = step.when.terms if step.when else ()
    return any(
        term.fact == "push" and term.end == step.end and term.states <= wanted for term in terms
    )
