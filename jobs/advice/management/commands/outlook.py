"""``manage.py outlook``: how rings scatter in the own book, and whether the prior covers it."""

from collections.abc import Sequence
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.advice.selectors.ring_scatter import EndScatter, ring_scatter
from jobs.garage.enums import End
from jobs.people.selectors import business_get
from jobs.tuning import Refused


class Command(BaseCommand):
    help = "The scatter of rings per rider and end, and whether the prior in use covers it."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found = ring_scatter(business_get())
        except Refused as refused:
            raise CommandError(f"Your own figures: {refused.words}") from refused
        for one in found:
            self.stdout.write("\n".join(lines(one)))


def lines(scatter: EndScatter) -> Sequence[str]:
    """One end as lines of text."""
    end, own = End(scatter.end).label, "your own figure" if scatter.own else "as shipped"
    prior = f"{end}: spread believed before any ring {scatter.prior.spread_mm:.2f} mm ({own})"
    if not scatter.riders:
        return [prior, "  No ring has been read of two like outings yet: read travel used."]
    rows = [
        f"  {row.rider:<28} {row.rings:>3} rings  scatter {_mm(row.sd_mm)}  "
        f"{row.inside} of {row.forecasts} in the band"
        for row in scatter.riders
    ]
    return [prior, *rows, f"  {scatter.covered}"]


def _mm(sd_mm: float | None) -> str:
    return "      -" if sd_mm is None else f"{sd_mm:4.2f} mm"
