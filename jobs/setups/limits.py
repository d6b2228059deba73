"""What a position may be: on a step, inside the counted or listed range, not too far in one go."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import Unit
from jobs.garage.models import Adjuster
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.tuning.units import to_canonical

COUNTED = {Unit.CLICK, Unit.TURN, Unit.MARK, Unit.LABEL}


def small_steps(business: Business) -> dict[Unit, Decimal]:
    """The most that is moved in one go without a stated reason, by unit; a mode has none.

    The defaults are common practice, no source. A pressure is said in psi by the business
    and rounded to what a gauge in kPa or bar shows: 2 psi is 14 kPa is 0.14 bar.
    """
    psi = float(business.small_step_psi)
    kpa = Decimal(to_canonical(value=psi, unit="psi", quantity="pressure"))
    return {
        Unit.CLICK: business.small_step_clicks,
        Unit.MARK: business.small_step_clicks,
        Unit.TURN: business.small_step_turns,
        Unit.MM: business.small_step_mm,
        Unit.PSI: business.small_step_psi,
        Unit.KPA: kpa.quantize(Decimal(1)),
        Unit.BAR: (kpa / 100).quantize(Decimal("0.01")),
    }


def check_usable(adjuster: Adjuster) -> None:
    if not adjuster.usable:
        raise ValidationError(
            _("%(adjuster)s is marked broken (%(fault)s): it is not set, only repaired.")
            % {"adjuster": words.adjuster_name(adjuster), "fault": adjuster.fault or "?"}
        )


def check_on_step(adjuster: Adjuster, value: Decimal) -> None:
    if adjuster.unit in COUNTED and (value - adjuster.lowest) % adjuster.step:
        raise ValidationError(
            _("%(adjuster)s goes in steps of %(step)s; %(value)s is between two of them.")
            % {
                "adjuster": words.adjuster_name(adjuster),
                "step": words.amount(adjuster, adjuster.step),
                "value": words.plain(value),
            }
        )


def in_range(adjuster: Adjuster, value: Decimal) -> bool:
    return adjuster.lowest <= value <= adjuster.highest


def check_in_range(adjuster: Adjuster, value: Decimal) -> None:
    if in_range(adjuster, value):
        return
    if adjuster.range_counted:
        text = _(
            "%(adjuster)s is counted from %(low)s to %(high)s on this bike; %(value)s is past "
            "its end. Never force an end. If it truly goes further, count its range again."
        )
    else:
        text = _(
            "%(adjuster)s is listed from %(low)s to %(high)s, not counted on this bike yet; "
            "%(value)s is past that. Never force an end. If it truly goes further, count its "
            "range."
        )
    raise ValidationError(
        text
        % {
            "adjuster": words.adjuster_name(adjuster),
            "low": words.plain(adjuster.lowest),
            "high": words.plain(adjuster.highest),
            "value": words.plain(value),
        }
    )


def small_step(adjuster: Adjuster, business: Business) -> Decimal | None:
    """The most that is moved in one go without a reason; None: no such limit."""
    return small_steps(business).get(Unit(adjuster.unit))


def over_step(most: Decimal | None, from_: Decimal, to: Decimal) -> bool:
    """Whether a move goes further in one go than ``most``."""
    return most is not None and abs(to - from_) > most


def check_small_step(adjuster: Adjuster, from_: Decimal, to: Decimal, reason: str) -> None:
    """A step over the business's usual most needs its reason: one query where none is given."""
    if reason.strip():
        return
    most = small_step(adjuster, business_get())
    if most is None or not over_step(most, from_, to):
        return
    raise ValidationError(
        _(
            "%(moved)s in one go is more than the usual %(most)s for %(adjuster)s (common "
            "practice). Say why, and it is written."
        )
        % {
            "moved": words.amount(adjuster, abs(to - from_)),
            "most": words.amount(adjuster, most),
            "adjuster": words.adjuster_name(adjuster),
        }
    )
