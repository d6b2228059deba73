"""What was counted of each bike's judged expectations, kept with a stamp of what it rests on.

A bike's count holds as long as its stamp is the same: the revisions of its days, its figures,
its parts, its adjusters, what was written of it outside any day, the business's own figures and
findings, and the way of counting.
"""

import hashlib
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django.db.models import Count, Max, Q, QuerySet

from jobs.garage.models import Adjuster, Bike, Fitting
from jobs.people.models import OwnBand
from jobs.people.selectors import business_get
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Judgement, Reading
from jobs.trackday.models import Entry
from jobs.tuning.evidence import JudgedExpectation
from jobs.tuning.terms import Verdict

from ..models import KeptEvidence, OwnFinding

# Raised when the count itself, or a shipped finding's steps, change: then nothing kept holds.
WAY_OF_COUNTING = 1


@dataclass(frozen=True)
class KeptRows:
    """By bike: what was kept and holds; and the bikes that must be counted, with their stamps."""

    rows: Mapping[int, list[JudgedExpectation]]
    stale: Mapping[int, str]


def judged_bikes() -> set[int]:
    """The bikes of which a change was judged: one query."""
    rows = Judgement.objects.filter(withdrawn_at=None, expectation__adjustment__entry__isnull=False)
    return set(rows.values_list("expectation__adjustment__entry__bike", flat=True))


def evidence_is_stale() -> bool:
    """Whether a bike was judged whose kept count does not hold; no count is read."""
    kept = dict(KeptEvidence.objects.values_list("bike", "stamp"))
    return any(kept.get(bike) != stamp for bike, stamp in _stamps(judged_bikes()).items())


def kept_evidence() -> KeptRows:
    """What was kept of the bikes judged: the same queries, however many there are."""
    stamps = _stamps(judged_bikes())
    rows: dict[int, list[JudgedExpectation]] = {}
    kept = KeptEvidence.objects.values_list("bike", "stamp", "rows")
    for bike, stamp, written in kept:
        if stamps.get(bike) == stamp:
            rows[bike] = [_row(one) for one in written]
    return KeptRows(rows, {bike: one for bike, one in stamps.items() if bike not in rows})


def as_json(rows: Iterable[JudgedExpectation]) -> list[dict[str, Any]]:
    """As they are kept."""
    return [asdict(row) for row in rows]


def _row(written: Mapping[str, Any]) -> JudgedExpectation:
    lists = {name: tuple(written[name]) for name in ("functions", "also_changed")}
    return JudgedExpectation(**{**written, **lists, "verdict": Verdict(written["verdict"])})


def _stamps(bikes: Collection[int]) -> dict[int, str]:
    of_business = _of_business()
    parts = _parts_by_bike(bikes)
    return {
        bike: hashlib.sha256(repr((of_business, parts[bike])).encode()).hexdigest()
        for bike in bikes
    }


def _of_business() -> tuple[object, ...]:
    """What every bike's count rests on: three queries."""
    business = business_get()
    return (
        WAY_OF_COUNTING,
        business.like_pace_s,
        business.pace_trigger_s,
        *OwnBand.objects.order_by("key").values_list("key", "low", "high"),
        *OwnFinding.objects.values_list("code", "at"),
    )


def _parts_by_bike(bikes: Collection[int]) -> dict[int, list[object]]:
    """What each bike's own count rests on: six queries."""
    of_bike, of_entry = Q(bike__in=bikes), Q(entry=None, bike__in=bikes)
    found: dict[int, list[object]] = defaultdict(list)
    tables: list[QuerySet[Any, tuple[Any, ...]]] = [
        Bike.objects.filter(pk__in=bikes).values_list(*_columns(Bike)),
        Adjuster.objects.filter(of_bike).order_by("pk").values_list("bike", *_columns(Adjuster)),
        Fitting.objects.filter(of_bike).order_by("pk").values_list("bike", *_columns(Fitting)),
        Entry.objects.filter(of_bike)
        .order_by("pk")
        .values_list("bike", "pk", "rider", "trackday__venue", "trackday__revision", "group__pace"),
        Reading.objects.filter(of_entry)
        .values("bike")
        .annotate(rows=Count("pk"), withdrawn=Count("withdrawn_at"), last=Max("accepted_at"))
        .values_list("bike", "rows", "withdrawn", "last")
        .order_by("bike"),
        Adjustment.objects.filter(entry=None, adjuster__bike__in=bikes)
        .values("adjuster__bike")
        .annotate(
            rows=Count("pk"),
            placed=Count("pk", filter=Q(state=RowState.PLACED)),
            last=Max("accepted_at"),
        )
        .values_list("adjuster__bike", "rows", "placed", "last")
        .order_by("adjuster__bike"),
    ]
    for table in tables:
        for bike, *values in table:
            found[bike].append(values)
    return found


def _columns(model: type[Bike | Adjuster | Fitting]) -> list[str]:
    """Every column, the key first, but the note, which a removal on request empties."""
    return [field.name for field in model._meta.concrete_fields if field.name != "note"]
