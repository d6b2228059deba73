"""The best earlier setup of a bike, and other bikes with the same finding today."""

from dataclasses import dataclass

from jobs.advice.selectors import (
    AdviceBasis,
    EarlierSetup,
    ThenAndNow,
    earlier_setup_of,
    then_and_now,
)
from jobs.setups.models import Finding
from jobs.setups.selectors import Difference, way_back
from jobs.trackday.models import Entry

from ..sheet.kept_setups import AS_IT_LEFT


@dataclass(frozen=True)
class EarlierBest:
    """The best setup the bike had before, why, what is different now, and the way back."""

    before: EarlierSetup
    since: list[ThenAndNow]
    differences: list[Difference]

    @property
    def target(self) -> str:
        """What "back to it" names: a kept setup, else what the bike left its last day with."""
        return str(self.before.kept.pk) if self.before.kept else AS_IT_LEFT


def returning(basis: AdviceBasis) -> EarlierBest | None:
    """None for a bike on its first day. Of a day's own settling only what has changed."""
    before = earlier_setup_of(basis.entry, basis.settlement)
    if before is None:
        return None
    today = before.entry is not None and before.entry.pk == basis.entry.pk
    since = [row for row in then_and_now(basis, before) if row.changed or not today]
    return EarlierBest(before, since, way_back(basis.standings, before.positions))


def same_finding_today(entry: Entry, codes: list[str]) -> list[Finding]:
    """Other bikes of the day with one of these findings, newest first."""
    if not codes:
        return []
    rows = Finding.objects.filter(
        entry__trackday=entry.trackday_id, code__in=codes, withdrawn_at=None
    ).exclude(entry=entry)
    return list(rows.select_related("entry__bike", "entry__group").order_by("-accepted_at")[:12])
