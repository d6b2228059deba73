"""How long the tyre lasts, and what a session of it costs."""

from dataclasses import dataclass

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import Refused, wear

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..drawings import wear_plot
from ..inputs import Field, InputValues, Text, signed

PLACES = (("left", _("left")), ("centre", _("centre")), ("right", _("right")))
LABELS = dict(PLACES)


def depths_of(text: str, *, place: str = "") -> list[wear.Depth]:
    """One depth a line: session and mm, or mm alone for sessions in a row from 0."""
    depths = []
    for index, line in enumerate(line for line in text.splitlines() if line.strip()):
        parts = line.replace(";", " ").replace(",", ".").split()
        try:
            numbers = [float(part) for part in parts]
        except ValueError:
            numbers = []
        if len(numbers) not in (1, 2):
            raise Refused(
                gettext("“%(line)s” is no session and depth; write 3 3.4.")
                % {"line": line.strip()[:40]}
            )
        at = numbers[0] if len(numbers) == 2 else float(index)
        depths.append(wear.Depth(at=at, mm=numbers[-1], place=place))
    return depths


@dataclass(frozen=True)
class TreadPlace:
    """One place across the tread: its depths, their line, and how long it lasts."""

    name: str
    depths: list[wear.Depth]
    line: wear.FittedLine
    left: wear.Interval

    @property
    def last(self) -> float:
        return self.depths[-1].at


def _place(given: InputValues, name: str) -> TreadPlace:
    depths = sorted(depths_of(given.text(name), place=name), key=lambda depth: depth.at)
    line = wear.wear_line(depths=depths, gauge_resolution_mm=given["resolution"])
    left = wear.sessions_left(line=line, limit_mm=given["limit"], last_index=depths[-1].at)
    return TreadPlace(name, depths, line, left)


def _places(given: InputValues) -> tuple[list[TreadPlace], list[AnswerLine]]:
    """Every place that was measured, the first to be worn out first; and those that cannot say."""
    found, silent = [], []
    refusals = []
    for name, label in PLACES:
        if not given.text(name):
            continue
        try:
            found.append(_place(given, name))
        except Refused as refusal:
            refusals.append(refusal)
            silent.append(AnswerLine(label, gettext("cannot say"), str(refusal.words)))
    if not found:
        raise (
            refusals[0] if refusals else Refused(gettext("Enter the depths of at least one place."))
        )
    return sorted(found, key=lambda place: place.left.value), silent


def _compute(given: InputValues) -> CalculatorAnswer:
    places, silent = _places(given)
    first, limit = places[0], given["limit"]
    lines = [_left(gettext("Sessions left"), first, limit, named=True)]
    lines += [_left(LABELS[place.name], place, limit) for place in places[1:]]
    slope = first.line.slope_interval()
    lines += [
        *silent,
        AnswerLine(
            gettext("Wear a session"),
            f"{-slope.value:.2f} mm",
            f"{-slope.high:.2f}–{-slope.low:.2f} mm",
        ),
        *_cost(given, first.line),
        *_compared(given, first.line),
    ]
    until = max(first.last + 1, first.left.high + first.last)
    points = {
        str(LABELS[place.name]): [(depth.at, depth.mm) for depth in place.depths]
        for place in places
    }
    return CalculatorAnswer(
        tuple(lines),
        assumptions=(
            gettext("Each place has its own line; the one that is worn out first ends the tyre."),
            gettext("One tyre on one track, in the order of sessions."),
            gettext("Wear goes on as it did: same pace, same pressures."),
        ),
        cautions=(gettext("Cords, a bulge or a split end the tyre at any depth: stop."),),
        picture=wear_plot(points, first.line, limit, min(until, first.last + 20)),
    )


def _left(label: Text, place: TreadPlace, limit: float, *, named: bool = False) -> AnswerLine:
    note = gettext("%(low).1f to %(high).1f, to %(limit)g mm") % {
        "low": place.left.low,
        "high": place.left.high,
        "limit": limit,
    }
    if named:
        note = f"{LABELS[place.name]}: {note}"
    return AnswerLine(label, f"{place.left.value:.1f}", note)


def _cost(given: InputValues, line: wear.FittedLine) -> list[AnswerLine]:
    price, new = given.get("price"), given.get("new")
    if price is None or new is None:
        return []
    cost = wear.cost_per_session(
        price_minor=round(price * 100), line=line, new_depth_mm=new, limit_mm=given["limit"]
    )
    return [
        AnswerLine(
            gettext("Cost a session"),
            f"{cost.value / 100:.2f} {given.figures.currency}".strip(),
            f"{cost.low / 100:.2f}–{cost.high / 100:.2f}",
        )
    ]


def _compared(given: InputValues, before: wear.FittedLine) -> list[AnswerLine]:
    """The same place of a second tyre, after a change: does it last longer?"""
    if not given.text("later"):
        return []
    later = wear.wear_line(
        depths=depths_of(given.text("later")), gauge_resolution_mm=given["resolution"]
    )
    found = wear.compare(before=before, after=later)
    difference = found.difference
    note = f"{signed(difference.low, 2)} … {signed(difference.high, 2)} mm. {found.says!s}"
    return [
        AnswerLine(
            gettext("After the change"),
            f"{signed(difference.value, 2)} mm",
            note,
        )
    ]


WEAR = Calculator(
    slug="wear",
    title=_("Tyre wear"),
    asks=_("How many sessions are left in it, and what does one cost?"),
    group=_("Tyres"),
    fields=(
        Field("left", _("depths, left"), long=True, needed=False, help=_("as the rider sits")),
        Field("centre", _("depths, centre"), long=True, needed=False,
              help=_("session and mm, one to a line")),
        Field("right", _("depths, right"), long=True, needed=False),
        Field("limit", _("change it at"), "length", default="1.0"),
        Field("new", _("depth when new"), "length", needed=False),
        Field("price", _("price of the tyre"), needed=False),
        Field("resolution", _("gauge reads to"), "length", default="0.1", further=True),
        Field("later", _("depths after a change"), long=True, needed=False,
              help=_("a second tyre of the same make, where the first was worn most"),
              further=True),
    ),
    compute=_compute,
    formula=("depth = a + b · session, least squares",
             "session at the limit with Fieller's interval; g ≥ 1: cannot say",
             "cost = price · |b| / (new − limit)"),
    source=_("Draper and Smith, Applied Regression Analysis; NIST StRD Norris."),
)  # fmt: skip
