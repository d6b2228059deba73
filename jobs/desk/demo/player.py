"""Applies the acts of an invented day, with the clock of the day set to the time of each."""

import uuid
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, time
from decimal import Decimal
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from jobs.acts.enums import Outcome
from jobs.acts.models import Act
from jobs.acts.registry import kind_get
from jobs.acts.services import act_apply
from jobs.garage.models import Adjuster, Gauge
from jobs.people.models import User
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry, Session, Trackday
from jobs.worklist.models import ChecklistItem

NAMESPACE = uuid.UUID("b2a9f0de-5f0d-4f3b-9a57-1f1f2f6c8a11")

Payload = dict[str, Any]
Maker = Callable[["DayPlayer"], Payload]


@dataclass(frozen=True)
class StoryStep:
    """One act of the day: at which minute after local midnight, by whom, what."""

    at: float
    by: str
    kind: str
    payload: Maker
    name: str = ""
    ends_as: Outcome = Outcome.APPLIED


@dataclass
class DayPlayer:
    """A trackday whose clock is set to the time of each act that is applied."""

    trackday: Trackday
    done: list[Act] = field(default_factory=list)

    def clock_set(self, minute: float) -> None:
        """Put the day's clock to a minute of its own date; it runs on from there."""
        zone = ZoneInfo(self.trackday.venue.timezone)
        midnight = datetime.combine(self.trackday.date, time(), zone)
        anchor = datetime.fromtimestamp(midnight.timestamp() + minute * 60, UTC)
        set_at = datetime.now(UTC)
        self.trackday.clock_anchor, self.trackday.clock_set_at = anchor, set_at
        self.trackday.clock_rate = Decimal(1)
        Trackday.objects.filter(pk=self.trackday.pk).update(
            clock_anchor=anchor, clock_set_at=set_at, clock_rate=1
        )

    def play(self, step: StoryStep) -> Act:
        """Apply one act; raises an error when its outcome is not the one the step expects."""
        self.clock_set(step.at)
        name = step.name or f"{step.at} {step.by} {step.kind} {len(self.done)}"
        payload = step.payload(self)
        unknown = set(payload) - set(kind_get(step.kind).payload().fields)
        if unknown:
            raise ValueError(f"{name}: {step.kind} has no {', '.join(sorted(unknown))}")
        act = act_apply(
            act_id=self.act_id(name),
            kind=step.kind,
            payload=payload,
            by=self.crew[step.by],
            trackday=self.trackday,
        )
        if act.outcome != step.ends_as:
            raise ValueError(f"{name}: {act.outcome}, {act.answer['text']}")
        self.done.append(act)
        return act

    def act_id(self, name: str) -> uuid.UUID:
        """The id of the act of that name, on this day."""
        return uuid.uuid5(NAMESPACE, f"{self.trackday.pk} {name}")

    def expectation_id(self, name: str) -> str:
        """The id of the expectation written with the change of that name."""
        return str(uuid.uuid5(self.act_id(name), "expectation"))

    @cached_property
    def crew(self) -> dict[str, User]:
        return {user.username: user for user in User.objects.exclude(role="customer")}

    @cached_property
    def entries(self) -> dict[int, Entry]:
        """By the number in the organiser's ref: 1 is FH-01."""
        rows = Entry.objects.filter(trackday=self.trackday).select_related(
            "bike", "group", "package", "trackday__venue"
        )
        return {int(entry.ref[-2:]): entry for entry in rows}

    @cached_property
    def sessions(self) -> dict[tuple[str, int], Session]:
        rows = Session.objects.filter(trackday=self.trackday).select_related("group")
        return {(s.group.letter, s.number): s for s in rows}

    @cached_property
    def items(self) -> dict[str, ChecklistItem]:
        rows = ChecklistItem.objects.filter(checklist__retired_at=None)
        return {item.code: item for item in rows}

    @cached_property
    def gauge(self) -> Gauge:
        return Gauge.objects.get(name="Blue")

    @cached_property
    def _adjusters(self) -> dict[int, list[Adjuster]]:
        found: dict[int, list[Adjuster]] = {}
        bikes = [entry.bike_id for entry in self.entries.values()]
        for adjuster in Adjuster.objects.filter(bike__in=bikes):
            found.setdefault(adjuster.bike_id, []).append(adjuster)
        return found

    def adjusters(self, ref: int) -> list[Adjuster]:
        return self._adjusters[self.entries[ref].bike_id]

    def adjuster(self, ref: int, end: str, function: str) -> list[Adjuster]:
        """The adjuster of one function: one row, or the two legs'."""
        return [a for a in self.adjusters(ref) if (a.end, a.function) == (end, function)]

    @cached_property
    def stood(self) -> dict[int, Decimal]:
        """Where the day's bikes stood when they left their last day, by adjuster id."""
        bikes = [entry.bike_id for entry in self.entries.values()]
        rows = Adjustment.objects.filter(
            adjuster__bike__in=bikes,
            state=RowState.PLACED,
            entry__trackday__date__lt=self.trackday.date,
        )
        return dict(rows.order_by("seq").values_list("adjuster", "to_position"))

    def minute_of(self, moment: datetime) -> float:
        """A moment in minutes since local midnight."""
        local = moment.astimezone(ZoneInfo(self.trackday.venue.timezone))
        return local.hour * 60 + local.minute

    def stands_at(self, adjuster: Adjuster) -> Decimal:
        row = (
            Adjustment.objects.filter(adjuster=adjuster, state=RowState.PLACED)
            .order_by("-seq")
            .first()
        )
        if row is None:
            raise ValueError(f"{adjuster} was not counted yet")
        return row.to_position


def minute(clock: str) -> int:
    """``"09:05"`` in minutes since local midnight."""
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)


def spread(key: str, steps: int) -> int:
    """A number from -steps to +steps that is always the same for the same key."""
    return zlib.crc32(key.encode()) % (2 * steps + 1) - steps
