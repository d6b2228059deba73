"""Across time and bikes: a bike come back, and others with the same finding today."""

from dataclasses import dataclass

from jobs.advice.selectors import Before, Bench, Since, before_of, since_of
from jobs.setups.models import Finding
from jobs.setups.selectors import Difference, way_back
from jobs.trackday.models import Entry

from ..sheet.kept import LEFT


@dataclass(frozen=True)
class Returning:
    """The best setup the bike had before, why, what is different now, and the way back."""

    before: Before
    since: list[Since]
    differences: list[Difference]

    @property
    def target(self) -> str:
        """What "back to it" names: a kept setup, else what the bike left its last day with."""
        return str(self.before.kept.pk) if self.before.kept else LEFT


def returning(bench: Bench) -> Returning | None:
    """None for a bike on its first day. Of a day's own settling only what has changed."""
    before = before_of(bench.entry, bench.settlement)
    if before is None:
        return None
    today = before.entry is not None and before.entry.pk == bench.entry.pk
    since = [row for row in since_of(bench, before) if row.changed or not today]
    return Returning(before, since, way_back(bench.standings, before.positions))


def same_today(entry: Entry, codes: list[str]) -> list[Finding]:
    """Other bikes of the day with one of these findings, newest first."""
    if not codes:
        return []
    rows = Finding.objects.filter(
        entry__trackday=entry.trackday_id, code__in=codes, withdrawn_at=None
    ).exclude(entry=entry)
    return list(rows.select_related("entry__bike", "entry__group").order_by("-accepted_at")[:12])
