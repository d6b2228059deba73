"""The best earlier setup of a bike: called settled, else kept, else that of its last day's end."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.setups import selectors as book
from jobs.setups.enums import Verdict
from jobs.setups.models import Judgement, KeptSetup, Reading
from jobs.setups.reading_kinds import LAP_TIMES
from jobs.trackday.models import Conditions, Entry

from ..models import Settlement
from . import observations


@dataclass(frozen=True)
class EarlierSetup:
    """A setup that was good: when, why, and in which conditions.

    ``settlement`` and ``kept`` None: nobody called it settled, or kept it. ``because`` are
    sentences; ``laps`` seconds of the outing it is compared with; ``track_c`` degC.
    """

    at: datetime
    entry: Entry | None
    positions: dict[int, Decimal]
    because: Sequence[str] = ()
    settlement: Settlement | None = None
    kept: KeptSetup | None = None
    laps: Sequence[float] = field(default_factory=list)
    wet: bool | None = None
    track_c: Decimal | None = None
    rider: str = ""

    @property
    def title(self) -> str:
        if self.settlement and self.kept:
            return _("Settled, kept as “%(name)s”") % {"name": self.kept.name}
        if self.kept:
            return _("Never settled; last kept as “%(name)s”") % {"name": self.kept.name}
        return _("Never settled; this is what it left with")


def earlier_setup_of(entry: Entry, settlement: Settlement | None) -> EarlierSetup | None:
    """The setup to compare this day with; None without an earlier day. At most eight queries."""
    if settlement is not None:
        return _settled(settlement)
    earlier = book.setup_before(entry)
    if earlier is None:
        return None
    then, at = earlier.entry, earlier.at
    weather = None
    if then is not None:
        told = Conditions.objects.filter(trackday=then.trackday_id, withdrawn_at=None, at__lte=at)
        weather = told.order_by("-at").first()
    return EarlierSetup(
        at=at,
        entry=then,
        positions=earlier.positions,
        because=_came_true(then) if then else (),
        kept=earlier.kept,
        laps=_last_laps(then) if then else (),
        wet=weather.wet if weather else None,
        track_c=weather.track_c if weather else None,
        rider=then.rider.name if then else "",
    )


def _settled(row: Settlement) -> EarlierSetup:
    return EarlierSetup(
        at=row.done_at,
        entry=row.entry,
        positions={one.adjuster_id: one.position for one in row.kept.positions.all()},
        because=row.because,
        settlement=row,
        kept=row.kept,
        laps=row.laps,
        wet=row.wet,
        track_c=row.track_c,
        rider=row.rider.name,
    )


def _came_true(entry: Entry) -> list[str]:
    """What was expected of that day's changes and was seen. The last judgement counts."""
    rows = Judgement.objects.filter(expectation__entry=entry, withdrawn_at=None)
    last = {row.expectation_id: row for row in rows.select_related("expectation")}
    return [
        _("seen: %(what)s") % {"what": row.expectation.text}
        for row in last.values()
        if row.verdict == Verdict.SEEN
    ]


def _last_laps(entry: Entry) -> list[float]:
    rows = Reading.objects.filter(entry=entry, kind=LAP_TIMES.name, withdrawn_at=None)
    newest = rows.order_by("-accepted_at").prefetch_related("measurements").first()
    return observations.numbers(newest, "lap") if newest else []
