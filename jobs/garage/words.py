"""What an adjuster stands at, in words that cannot be misread: value, unit, origin, leg."""

from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from jobs.tuning.terms import MEASURED_FUNCTIONS

from .enums import End, Firming, Function, Leg, Origin, Unit
from .models import AdjusterFields

NOUNS_ARE_LARGE = ("de",)  # the languages that write every noun with a large first letter
QUARTERS = {Decimal("0.25"): "¼", Decimal("0.5"): "½", Decimal("0.75"): "¾"}


def plain(value: Decimal) -> str:
    """A number without trailing zeros: 11.000 -> "11", 32.50 -> "32.5"."""
    return format(value.normalize(), "f") if value else "0"


def at_end(end: object, what: object) -> str:
    """ "Front rebound": what it is and at which end, in the order of the reader's language."""
    return capfirst(_("%(end)s %(what)s") % {"end": end, "what": what})


def within(name: str) -> str:
    """A name inside a sentence: with a small first letter, where nouns are not written large."""
    return name if get_language() in NOUNS_ARE_LARGE else name[:1].lower() + name[1:]


def adjuster_name(adjuster: AdjusterFields) -> str:
    """ "Front rebound, left leg"; a shock has no legs to tell apart."""
    name = at_end(adjuster.get_end_display(), adjuster.get_function_display())
    return f"{name}, {leg}" if (leg := leg_words(adjuster)) else name


def pair_name(adjuster: AdjusterFields) -> str:
    """ "Front rebound, both legs": a pair that was moved as one."""
    name = at_end(adjuster.get_end_display(), adjuster.get_function_display())
    return f"{name}, {Leg.BOTH.label}"


def function_name(adjuster: AdjusterFields) -> str:
    """ "Rebound, left leg": the name where the end is already said."""
    name = capfirst(str(adjuster.get_function_display()))
    return f"{name}, {leg}" if (leg := leg_words(adjuster)) else name


def leg_words(adjuster: AdjusterFields) -> str:
    legless = adjuster.end == End.REAR or adjuster.function in (
        Function.TYRE_PRESSURE,
        Function.STEERING_DAMPER,
        Function.MODE,
    )
    if legless and adjuster.leg == Leg.BOTH:
        return ""
    return str(adjuster.get_leg_display())


def amount(adjuster: AdjusterFields, value: Decimal) -> str:
    """So many of the adjuster's unit: "3 clicks", "1½ turns", "10 kPa"."""
    if adjuster.unit == Unit.CLICK:
        return ngettext("%(n)s click", "%(n)s clicks", _plural(value)) % {"n": plain(value)}
    if adjuster.unit == Unit.TURN:
        return ngettext("%(n)s turn", "%(n)s turns", _plural(value)) % {"n": _turns(value)}
    if adjuster.unit == Unit.MARK:
        return ngettext("%(n)s mark", "%(n)s marks", _plural(value)) % {"n": plain(value)}
    return f"{plain(value)} {adjuster.get_unit_display()}"


def position(adjuster: AdjusterFields, value: Decimal | None) -> str:
    """The whole position: "11 clicks out from closed", "5 clicks in from open", "170 kPa"."""
    if value is None:
        return _("not counted")
    if adjuster.unit == Unit.LABEL:
        return _label(adjuster, value)
    counted = amount(adjuster, value)
    return counted if adjuster.origin == Origin.ZERO else f"{counted} {_origin(adjuster)}"


def position_short(adjuster: AdjusterFields, value: Decimal | None) -> str:
    """The large figure of a screen: "11 out", "5 in", "1½ turns out", "170 kPa"."""
    if value is None:
        return "–"
    if adjuster.unit == Unit.LABEL:
        return _label(adjuster, value)
    if adjuster.origin == Origin.CLOSED:
        way = _("out")
    elif adjuster.origin == Origin.OPEN:
        way = _("in")
    else:
        return amount(adjuster, value)
    counted = plain(value) if adjuster.unit == Unit.CLICK else amount(adjuster, value)
    return f"{counted} {way}"


def firmer(adjuster: AdjusterFields, from_: Decimal, to: Decimal) -> bool:
    """Whether going from one position to another makes it firmer (or higher, or longer)."""
    return (to < from_) == (adjuster.firming == Firming.DOWN)


def difference(adjuster: AdjusterFields, from_: Decimal | None, to: Decimal | None) -> str:
    """How a position differs: "3 clicks firmer", "10 kPa lower", "unchanged"."""
    if from_ is None or to is None:
        return _("no earlier count")
    if from_ == to:
        return _("unchanged")
    if adjuster.unit == Unit.LABEL:
        return _("was %(position)s") % {"position": _label(adjuster, from_)}
    moved = {"amount": amount(adjuster, abs(to - from_))}
    if adjuster.function == Function.SHOCK_LENGTH:
        return (_("%(amount)s longer") if to > from_ else _("%(amount)s shorter")) % moved
    if adjuster.function in MEASURED_FUNCTIONS:
        return (_("%(amount)s higher") if to > from_ else _("%(amount)s lower")) % moved
    if adjuster.function == Function.SPRING and to > from_:
        return _("%(amount)s stiffer") % moved
    if firmer(adjuster, from_, to):
        return _("%(amount)s firmer") % moved
    return _("%(amount)s softer") % moved


def turning(adjuster: AdjusterFields, more: bool) -> str:
    """What the hand does for a larger (``more``) or smaller number, and what that does."""
    low, high = adjuster.lowest, adjuster.highest
    effect = difference(adjuster, low, high) if more else difference(adjuster, high, low)
    effect = effect.rsplit(" ", 1)[-1]
    if adjuster.origin == Origin.CLOSED:
        return f"{_('out') if more else _('in')}, {effect}"
    if adjuster.origin == Origin.OPEN:
        return f"{_('in') if more else _('out')}, {effect}"
    return effect


def end_words(adjuster: AdjusterFields) -> tuple[str, str]:
    """What stands at the left and the right end of the ruler; closed is left."""
    low, high = plain(adjuster.lowest), plain(adjuster.highest)
    if adjuster.origin in (Origin.ZERO, Origin.MARK) or adjuster.unit == Unit.LABEL:
        return low, f"{high} {adjuster.get_unit_display()}"
    firm_low = adjuster.firming == Firming.DOWN
    at_low, at_high = (_("firm"), _("soft")) if firm_low else (_("soft"), _("firm"))
    if adjuster.origin == Origin.OPEN:
        return f"{_('closed')} {high}, {at_high}", f"{_('open')}, {at_low}"
    closed = _("closed") if adjuster.lowest == 0 else f"{_('closed')} {low}"
    return f"{closed}, {at_low}", f"{high}, {at_high}"


def _origin(adjuster: AdjusterFields) -> str:
    return {
        Origin.CLOSED: _("out from closed"),
        Origin.OPEN: _("in from open"),
        Origin.MARK: _("from the mark"),
    }[Origin(adjuster.origin)]


def _label(adjuster: AdjusterFields, value: Decimal) -> str:
    index = int(value - adjuster.lowest)
    return str(adjuster.labels[index]) if 0 <= index < len(adjuster.labels) else plain(value)


def _turns(value: Decimal) -> str:
    whole, part = divmod(value, 1)
    if part not in QUARTERS:
        return plain(value)
    return (plain(whole) if whole else "") + QUARTERS[part]


def _plural(value: Decimal) -> int:
    """One and a half turns, but half a turn, and one click."""
    return 1 if value <= 1 and value > 0 else 2
