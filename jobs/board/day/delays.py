"""The delays offered as buttons, and what one would cost, shown before it is confirmed."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.selectors import day_read
from jobs.worklist.services import SearchBudget, plan_refresh

from .trackday_lookup import trackday_or_404

MINUTES = (-5, 5, 10, 15)


@dataclass(frozen=True)
class DelayTap:
    """One delay in minutes; negative ones take a delay back."""

    minutes: int

    @property
    def sign(self) -> str:
        return f"{self.minutes:+d}".replace("-", "−")

    @property
    def words(self) -> str:
        late = self.minutes > 0
        words = _("%(n)d minutes later") if late else _("%(n)d minutes less")
        return words % {"n": abs(self.minutes)}

    @property
    def confirm(self) -> str:
        late = self.minutes > 0
        words = _("Delay by %(n)d minutes") if late else _("Take %(n)d minutes off")
        return words % {"n": abs(self.minutes)}


TAPS = tuple(DelayTap(minutes) for minutes in MINUTES)


def tap_of(given: str) -> DelayTap | None:
    """The tap an address names; None for minutes no button offers."""
    return next((tap for tap in TAPS if str(tap.minutes) == given), None)


def delay(request: SignedIn, trackday_id: int) -> HttpResponse:
    """What the delay in ``?minutes=`` would lose and save. Nothing is moved."""
    day = day_read(trackday_or_404(trackday_id))
    tap, budget = tap_of(request.GET.get("minutes", "")), SearchBudget()
    stored = plan_refresh(day=day, budget=budget if tap else None)
    cost = delay_cost(day, stored, tap.minutes, budget) if stored and tap else None
    context = {"cost": cost, "planned": stored is not None}
    return render(request, "board/day/delay_cost.html", context)
