"""Sag from three readings, one turn of preload, and what free sag says of the spring."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import Refused, linkage, practice, sag
from jobs.tuning.terms import End

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..inputs import Field, InputValues, signed

ENDS = ((End.FRONT.value, _("front")), (End.REAR.value, _("rear")))
VERDICTS = {
    sag.RateVerdict.SET_RIDER_SAG_FIRST: _(
        "Set the sag with rider first: only then does free sag say anything of the spring."
    ),
    sag.RateVerdict.SPRING_TOO_SOFT: _(
        "Free sag is below the band: the spring needed too much preload, it is too soft."
    ),
    sag.RateVerdict.SPRING_TOO_STIFF: _("Free sag is above the band: the spring is too stiff."),
    sag.RateVerdict.NOTHING_AGAINST_IT: _("Free sag has nothing against the spring."),
}


def _compute(given: InputValues) -> CalculatorAnswer:
    end = End(given.text("end"))
    found = sag.measure(
        hanging_mm=given["hanging"],
        after_push_mm=given["after_push"],
        after_lift_mm=given["after_lift"],
        travel_mm=given["travel"],
        end=end,
    )
    target = practice.target(f"sag_{end}_rider", given.figures.bands)
    lines = [
        AnswerLine(
            gettext("Sag with rider"),
            given.shown(found.sag_mm, "hanging"),
            gettext("%(percent).0f %% of the travel") % {"percent": found.percent},
        ),
        AnswerLine(gettext("Stiction band"), given.shown(found.stiction_band_mm, "hanging")),
        target_line(target),
    ]
    if (turn := one_turn(given, end, found.sag_mm)) is not None:
        lines.append(turn)
    free = given.get("free")
    if free is not None:
        lines.append(
            AnswerLine(gettext("Free sag"), given.shown(given["hanging"] - free, "hanging"))
        )
    return CalculatorAnswer(
        lines=tuple(lines),
        says=_verdict(given, end, found.sag_mm, target),
        assumptions=found.assumptions,
        cautions=found.cautions,
    )


def linkage_given(given: InputValues) -> linkage.Linkage | None:
    """The curve if one was given, else the constant motion ratio; None: neither is known."""
    if curve := given.text("curve"):
        return linkage.from_points(points=points_of(curve))
    ratio = given.get("ratio")
    return None if ratio is None else linkage.constant(motion_ratio=ratio)


def points_of(text: str) -> list[list[float]]:
    """Wheel mm and shock mm, a pair to a line."""
    points = []
    for line in text.splitlines():
        parts = line.replace(";", " ").replace(",", " ").split()
        try:
            wheel, shock = (float(part) for part in parts)
        except ValueError:
            raise Refused(
                gettext("“%(line)s” is no pair of wheel mm and shock mm.")
                % {"line": line.strip()[:40]}
            ) from None
        points.append([wheel, shock])
    return points


def target_line(target: practice.Target) -> AnswerLine:
    """The band as a range: the tuner's own, or all that is published with its disagreement."""
    band = f"{target.low:g}–{target.high:g} {target.practice.unit}"
    if target.own:
        return AnswerLine(gettext("Your target"), band)
    bands = gettext(" or ").join(f"{low:g}–{high:g}" for low, high in target.practice.bands)
    note = (
        gettext("sources disagree: %(bands)s") % {"bands": bands}
        if target.practice.disagree
        else gettext("common practice, no source")
    )
    return AnswerLine(gettext("Published range"), band, note)


def one_turn(given: InputValues, end: End, sag_mm: float) -> AnswerLine | None:
    """What one turn of preload in would do to the sag; None where it is not known."""
    per_turn = given.get("per_turn")
    if per_turn is None:
        return None
    if end == End.FRONT:
        effect = sag.fork_preload_effect(
            preload_change_mm=per_turn, rake_deg=given.get("rake") or 24.0
        )
        moves, note = effect.along_mm, gettext("along the leg, at most")
    else:
        curve = linkage_given(given)
        if curve is None:
            return None
        effect = sag.rear_preload_effect(
            preload_change_mm=per_turn, linkage=curve, wheel_travel_mm=sag_mm
        )
        moves = effect.vertical_mm
        note = (
            gettext("at the wheel, there on the curve; a small change")
            if curve.progressive
            else gettext("at the wheel; a small change, constant motion ratio")
        )
    return AnswerLine(
        gettext("One turn of preload in"),
        gettext("%(moves)s mm of sag") % {"moves": signed(moves)},
        note,
    )


def _verdict(
    given: InputValues, end: End, sag_mm: float, target: practice.Target
) -> tuple[str, ...]:
    free = given.get("free")
    if free is None:
        return ()
    band = practice.target(f"sag_{end}_free", given.figures.bands)
    verdict = sag.rate_verdict(
        rider_sag_mm=sag_mm,
        rider_target_mm=min(max(sag_mm, target.low), target.high),
        free_sag_mm=given["hanging"] - free,
        free_low_mm=band.low,
        free_high_mm=band.high,
    )
    return (str(VERDICTS[verdict]),)


SAG = Calculator(
    slug="sag",
    title=_("Sag"),
    asks=_("How much sag, how much stiction, and what does one turn of preload do?"),
    group=_("Springs and sag"),
    fields=(
        Field("end", _("end"), choices=ENDS, default="front"),
        Field("hanging", _("wheel hanging"), "length", help=_("axle to a fixed point")),
        Field("after_push", _("after a push down"), "length", help=_("rider on, settled")),
        Field("after_lift", _("after a lift"), "length", help=_("rider on, settled")),
        Field("travel", _("travel"), "length", default="120"),
        Field("free", _("without the rider"), "length", needed=False,
              help=_("the bike on its wheels")),
        Field("per_turn", _("preload of one turn"), "length", needed=False, default="1"),
        Field("rake", _("rake"), "angle", needed=False, help=_("front, from the vertical"),
              further=True),
        Field("ratio", _("motion ratio"), needed=False,
              help=_("rear: shock over wheel, below 1"), further=True),
        Field("curve", _("linkage curve"), long=True, needed=False,
              help=_("rear: wheel mm and shock mm, a pair to a line"), further=True),
    ),
    compute=_compute,
    formula=("sag = L_hanging − (L_push + L_lift) / 2", "S = L_lift − L_push",
             "Δsag_fork = −Δp;  Δsag_rear = −Δp / mr"),
    source=_("Statics; the three readings are common practice, no source."),
    crew=True,
)  # fmt: skip
