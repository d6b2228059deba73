"""What springs, preload and oil level do to the ring, and what an aim for the ring needs."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import Refused, springs
from jobs.tuning.outlook import (
    EndChange,
    EndSpring,
    Needed,
    Outlook,
    PartForAim,
    RingsThatCount,
    expected_words,
    fork_spring,
    nearest_parts,
    needed,
    outlook_of,
    parts_for,
    preload_for_the_same_sag,
    prior_of,
    ring_shift,
    rings_begin,
    rings_seen,
    sag_shift_mm,
    shock_spring,
)
from jobs.tuning.terms import End, TravelPlace

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..inputs import Field, InputValues, SpringInStock, signed
from ..ring_drawing import ring_drawing
from .sag import ENDS, linkage_given
from .springs import GROUP

RING_PLACE = {End.FRONT: TravelPlace.FORK_LEG, End.REAR: TravelPlace.SHOCK_SHAFT}
LEGS = {End.FRONT: 2, End.REAR: 1}


def _ring(given: InputValues) -> CalculatorAnswer:
    end = End(given.text("end"))
    spring = _spring(given, end)
    change = _change(given, spring, end)
    aim = given.get("aim")
    if change.nothing and aim is None:
        raise Refused(gettext("Enter what is changed, or where the ring should come."))
    told = _told(given, end, spring, change)
    sag = given.get("sag")
    lines = [] if change.nothing else _of_change(given, spring, change, told)
    if aim is not None:
        lines += _of_aim(given, spring, told, aim)
    says: tuple[str, ...] = ()
    if not change.nothing:
        moves = None if sag is None else sag_shift_mm(spring=spring, change=change, sag_mm=sag)
        says = (expected_words(outlook=told, sag_moves_mm=moves),)
    return CalculatorAnswer(
        tuple(lines),
        says=says,
        assumptions=(
            gettext("The same load pushes the ring: the same rider, venue, braking and damping."),
        ),
        cautions=told.cautions,
        picture="" if change.nothing else ring_drawing(told, given["usable"]),
    )


def _spring(given: InputValues, end: End) -> EndSpring:
    """The spring now; what is left empty is taken as usual and said so."""
    rate, preload = given.get("rate"), given.get("preload")
    if rate is not None:
        rate = springs.checked_rate(rate_n_per_mm=rate, end=end, sure=given.sure)
    if end == End.FRONT:
        pair = None if rate is None else LEGS[end] * rate
        return fork_spring(pair_n_per_mm=pair, preload_mm=preload)
    return shock_spring(shock_n_per_mm=rate, preload_mm=preload, linkage=linkage_given(given))


def _change(given: InputValues, spring: EndSpring, end: End) -> EndChange:
    fitted, rate = given.get("new_rate"), 0.0
    if fitted is not None:
        fitted = springs.checked_rate(rate_n_per_mm=fitted, end=end, sure=given.sure)
        rate = LEGS[end] * fitted - spring.rate_n_per_mm
    return EndChange(
        preload_mm=given.get("more_preload") or 0.0,
        rate_n_per_mm=rate,
        oil_level_mm=given.get("oil_level") or 0.0,
    )


def _told(given: InputValues, end: End, spring: EndSpring, change: EndChange) -> Outlook:
    """The outlook from the rings typed, oldest first."""
    prior = prior_of(place=RING_PLACE[end], own=given.figures.bands)
    state = rings_begin(prior=prior)
    for used in _rings(given.text("rings")):
        state = rings_seen(state=state, used_mm=used)
    return outlook_of(
        counted=RingsThatCount(state, ()),
        spring=spring,
        change=change,
        usable_mm=given["usable"],
        sure=given.sure,
    )


def _rings(text: str) -> list[float]:
    """Numbers, one to a line or with spaces between them."""
    rings = []
    for word in text.replace(";", " ").replace(",", ".").split():
        try:
            rings.append(float(word))
        except ValueError:
            raise Refused(
                gettext("“%(word)s” is no ring in mm; write one to a line.") % {"word": word[:20]}
            ) from None
    return rings


def _of_change(
    given: InputValues, spring: EndSpring, change: EndChange, told: Outlook
) -> list[AnswerLine]:
    lines = [
        AnswerLine(
            gettext("Ring"),
            f"{told.band.middle_mm:.0f} mm",
            gettext("%(moves)s mm; nine outings in ten from %(low).0f to %(high).0f mm")
            % {
                "moves": signed(told.shift.mm),
                "low": told.band.low_mm,
                "high": told.band.high_mm,
            },
        )
    ]
    sag = given.get("sag")
    if sag is None:
        return lines
    moves = sag_shift_mm(spring=spring, change=change, sag_mm=sag)
    lines.append(AnswerLine(gettext("Sag with rider"), f"{signed(moves)} mm"))
    if change.rate_n_per_mm:
        lines.append(_with_the_sag_kept(given, spring, change, told, sag))
    return lines


def _of_aim(given: InputValues, spring: EndSpring, told: Outlook, aim: float) -> list[AnswerLine]:
    """The springs in the van that come nearest first, then what would be needed."""
    end, sag = End(spring.end), given.get("sag")
    ways = needed(
        spring=spring, ring_mm=told.level_mm, aim_mm=aim, usable_mm=given["usable"], sag_mm=sag
    )
    if not ways:
        raise Refused(gettext("No spring and no preload brings the ring there."))
    return [*_in_the_van(given, spring, told, aim), *(_way(way, spring, end) for way in ways)]


def _in_the_van(
    given: InputValues, spring: EndSpring, told: Outlook, aim: float
) -> list[AnswerLine]:
    """The nearest springs of the van; a fork takes two of them."""
    listed = given.figures.springs
    if listed is None:
        return []
    label = gettext("In the van")
    here = [one for one in listed if one.end == spring.end]
    enough = {one.n_per_mm: one for one in here if one.pieces >= LEGS[End(spring.end)]}
    parts = parts_for(
        spring=spring,
        ring_mm=told.level_mm,
        usable_mm=given["usable"],
        in_stock_n_per_mm=list(enough),
        sag_mm=given.get("sag"),
    )
    nearest = nearest_parts(parts=parts, ring_mm=told.level_mm, aim_mm=aim)
    if nearest:
        return [_part(label, enough[one.n_per_mm], one, told.level_mm) for one in nearest]
    if here:
        return [AnswerLine(label, "–", gettext("no springs that come nearer"))]
    return [AnswerLine(label, "–", gettext("no springs listed: Desk, Springs"))]


def _part(label: str, stock: SpringInStock, part: PartForAim, ring_mm: float) -> AnswerLine:
    said = [gettext("ring to %(mm).0f mm") % {"mm": ring_mm + part.preload_of_now.ring_moves_mm}]
    if part.preload_of_now.sag_moves_mm is not None:
        moves = signed(part.preload_of_now.sag_moves_mm)
        said.append(gettext("sag %(moves)s mm") % {"moves": moves})
    if part.sag_kept is not None:
        said.append(
            gettext("with the sag kept: preload %(preload)s mm, ring to %(mm).0f mm")
            % {
                "preload": signed(part.sag_kept.change.preload_mm),
                "mm": ring_mm + part.sag_kept.ring_moves_mm,
            }
        )
    value = f"{part.n_per_mm:g} N/mm {stock.description}".strip()
    return AnswerLine(label, value, "; ".join(said))


def _with_the_sag_kept(
    given: InputValues, spring: EndSpring, change: EndChange, told: Outlook, sag: float
) -> AnswerLine:
    at = sag if spring.linkage is None else spring.linkage.stroke(sag)
    preload = preload_for_the_same_sag(
        spring=spring, rate_change_n_per_mm=change.rate_n_per_mm, sag_at_mm=at
    )
    kept = EndChange(preload, change.rate_n_per_mm, change.oil_level_mm)
    try:
        shift = ring_shift(
            spring=spring,
            change=kept,
            ring_mm=told.level_mm,
            usable_mm=given["usable"],
            sure=given.sure,
        )
    except Refused as refused:
        return AnswerLine(gettext("With the sag kept"), "–", refused.words)
    return AnswerLine(
        gettext("With the sag kept"),
        gettext("ring %(moves)s mm") % {"moves": signed(shift.mm)},
        gettext("preload %(preload)s mm") % {"preload": signed(preload)},
    )


def _way(way: Needed, spring: EndSpring, end: End) -> AnswerLine:
    rate, preload = way.change.rate_n_per_mm / LEGS[end], way.change.preload_mm
    fit = spring.rate_n_per_mm / LEGS[end] + rate
    sag = (
        ""
        if way.sag_moves_mm is None
        else gettext("sag %(moves)s mm") % {"moves": signed(way.sag_moves_mm)}
    )
    if not rate:
        value = gettext("preload %(mm)s mm") % {"mm": signed(preload)}
        return AnswerLine(gettext("By preload"), value, sag)
    value = gettext("%(rate)s N/mm: fit %(fit).1f") % {"rate": signed(rate, 2), "fit": fit}
    if end == End.FRONT:
        value = gettext("%(rate)s N/mm a leg: fit %(fit).1f") % {
            "rate": signed(rate, 2),
            "fit": fit,
        }
    if not way.keeps_sag:
        return AnswerLine(gettext("By springs"), value, sag)
    note = gettext("preload %(mm)s mm, the sag stays") % {"mm": signed(preload)}
    return AnswerLine(gettext("By springs, sag kept"), value, note)


RING = Calculator(
    slug="ring",
    title=_("Springs and the ring"),
    asks=_("What should the ring show after a change, and what does an aim for it need?"),
    group=GROUP,
    fields=(
        Field("end", _("end"), choices=ENDS, default="front"),
        Field("rings", _("rings of this rider here"), long=True,
              help=_("mm, oldest first: on the fork leg, or on the shock's shaft")),
        Field("usable", _("usable travel there"), "length", default="120",
              help=_("of the fork leg, or the stroke of the shock's shaft")),
        Field("new_rate", _("spring to fit"), "rate", needed=False,
              help=_("one leg, or the shock")),
        Field("more_preload", _("preload added"), "length", needed=False,
              help=_("below zero: taken off")),
        Field("oil_level", _("oil level raised"), "length", needed=False, help=_("fork only")),
        Field("aim", _("where the ring should come"), "length", needed=False),
        Field("rate", _("spring now"), "rate", needed=False, further=True,
              help=_("one leg, or the shock; usual figures stand in for what is empty")),
        Field("preload", _("preload now"), "length", needed=False, further=True),
        Field("sag", _("sag with rider"), "length", needed=False, further=True),
        Field("ratio", _("motion ratio"), needed=False, further=True, help=_("rear only")),
        Field("curve", _("linkage curve"), long=True, needed=False, further=True,
              help=_("rear: wheel mm and shock mm, a pair to a line")),
    ),
    compute=_ring,
    formula=("F′(x′) = F(x)", "F = k (x + p) + 2 p₀ A [(V₀ / (V₀ − A x))ⁿ − 1]",
             "F = k (s + p) s′(z)"),
    source=_("Statics; the scatter of rings is from simulated riders, no published source."),
)  # fmt: skip
