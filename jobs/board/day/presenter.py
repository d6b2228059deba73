"""What the day board shows, prepared as words and numbers for its template."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.trackday import clock
from jobs.trackday.enums import BikePlace, SessionState
from jobs.trackday.models import Conditions, RunGroup
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.enums import BikeState
from jobs.worklist.models import DayPlan
from jobs.worklist.pit_in import arrivals
from jobs.worklist.planned.chances import chances_to_rank_by
from jobs.worklist.planned.spare_work import SpareWork, spare_work
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import (
    BikeToSee,
    Round,
    bikes_to_see_first,
    least_likely_first,
    ranked_steps,
    rounds,
)
from jobs.worklist.untested_sessions import UntestedSession, untested_sessions

from ..pit_in_calls import calls_of
from .alerts import Alert, alerts
from .before_flag import BeforeFlag, before_flags
from .left_out import LeftOutTask, will_not_fit
from .likely import in_time_words
from .offer import Offer, offer_of
from .relief import Relief, relief_of
from .timetable_strip import day_strip

WORD_JOINER = "\u2060"  # keeps the frame number's last four on one line with their dots
STOPS = (BikeState.HELD,)
# Of a day with more bikes than one screen holds, only the next rolls are shown in full.
MOST_IN_FULL, ROLLS_IN_FULL = 24, 2


@dataclass(frozen=True)
class BikeRow:
    """One bike in its group's list."""

    entry_id: int
    number: str
    letter: str
    name: str
    frame: str
    state: str
    word: str
    detail: str
    until: str
    stops: bool
    hands: str
    missed: bool


@dataclass(frozen=True)
class GroupList:
    """The bikes of one run group, and when they roll or come in.

    ``until``: that moment; ``folded``: one line until somebody opens it, as on a large day;
    ``is_next``: no other group rolls before it.
    """

    letter: str
    title: str
    count: str
    bikes: list[BikeRow]
    until: str = ""
    folded: bool = False
    is_next: bool = False


@dataclass(frozen=True)
class SessionTap:
    """A session that runs, with the tap that ends it."""

    pk: int
    name: str
    until: str


@dataclass(frozen=True)
class FirstRow:
    """A bike to see first, and how sure it is that its work is done in time."""

    see: BikeToSee
    sure: str


@dataclass(frozen=True)
class CrewRow:
    """One person's round, and what somebody with nothing open could take."""

    round: Round
    offered: SpareWork | None


@dataclass(frozen=True)
class Board:
    """Everything the day board says."""

    day: Day
    strip: SafeString
    now: str
    late: str
    weather: str
    alerts: list[Alert]
    first: list[FirstRow]
    groups: list[GroupList]
    crew: list[CrewRow]
    running: list[SessionTap]
    before_flags: list[BeforeFlag]
    calls: list[dict[str, Any]]  # to the pit-in cards
    untested: list[UntestedSession]
    left_out: list[LeftOutTask]
    relief: Relief
    offer: Offer | None

    @property
    def alert_stops(self) -> bool:
        return any(alert.stops for alert in self.alerts)


def board(day: Day, plan: DayPlan | None = None) -> Board:
    slots = slots_of(plan)
    ranked, coming_in = ranked_steps(day, slots), arrivals(day, slots)
    to_see = least_likely_first(ranked, slots, chances_to_rank_by(plan))
    return Board(
        day=day,
        strip=day_strip(day),
        now=_hhmm(day, day.at),
        late=late_words(day),
        weather=weather_words(day.conditions_now),
        alerts=alerts(day),
        first=[
            FirstRow(see, in_time_words(day, plan, slots, see.bike, see.task) if see.task else "")
            for see in bikes_to_see_first(day, to_see)
        ],
        groups=group_lists(day),
        crew=_crew_rows(day, plan, rounds(day, ranked, slots)),
        left_out=will_not_fit(day, plan),
        relief=relief_of(day, plan),
        offer=offer_of(day, plan),
        untested=list(untested_sessions(day)),
        before_flags=before_flags(day, coming_in),
        calls=calls_of(coming_in),
        running=[
            SessionTap(t.session.pk, str(t.session), t.end.isoformat())
            for t in day.times
            if t.state == SessionState.RUNNING
        ],
    )


def _crew_rows(day: Day, plan: DayPlan | None, all_rounds: list[Round]) -> list[CrewRow]:
    offered = spare_work(day, plan, all_rounds)
    return [CrewRow(each, offered.get(each.person.pk)) for each in all_rounds]


def late_words(day: Day) -> str:
    minutes = day.late_minutes
    if minutes > 0:
        return ngettext("running %(n)d min late", "running %(n)d min late", minutes) % {
            "n": minutes
        }
    if minutes < 0:
        return _("running %(n)d min early") % {"n": -minutes}
    return _("on time") if day.sessions_left else _("no session is left")


def weather_words(now: Conditions | None) -> str:
    if now is None:
        return _("no conditions entered yet")
    words = []
    if now.track_c is not None:
        words.append(_("track %(n)s °C") % {"n": f"{now.track_c:f}".removesuffix(".0")})
    if now.air_c is not None:
        words.append(_("air %(n)s °C") % {"n": f"{now.air_c:f}".removesuffix(".0")})
    words.append(_("wet") if now.wet else _("dry"))
    if now.wind:
        words.append(now.wind)
    return ", ".join(words)


def group_lists(day: Day) -> list[GroupList]:
    """The groups in the order they roll next; those with nothing ahead last."""
    by_group: dict[int, list[BikeDay]] = {group.pk: [] for group in day.groups}
    for bike in day.bikes:
        by_group[bike.entry.group_id].append(bike)
    ordered = sorted(
        (group for group in day.groups if by_group[group.pk]),
        key=lambda group: _next_of(day, group) or datetime.max.replace(tzinfo=day.at.tzinfo),
    )
    large = len(day.bikes) > MOST_IN_FULL
    lists = [
        _group_list(day, group, by_group[group.pk], folded=large and place >= ROLLS_IN_FULL)
        for place, group in enumerate(ordered)
    ]
    out = {t.session.group.letter for t in day.times if t.state == SessionState.RUNNING}
    rolls = next((one for one in lists if one.letter not in out and one.until), None)
    return [replace(one, is_next=one is rolls) for one in lists]


def _next_of(day: Day, group: RunGroup) -> datetime | None:
    """When a group comes in, if it is out, else when it rolls."""
    for times in day.times:
        if times.session.group_id == group.pk and not times.over:
            return times.end if times.state == SessionState.RUNNING else times.start
    return None


def _group_list(day: Day, group: RunGroup, bikes: Iterable[BikeDay], *, folded: bool) -> GroupList:
    until = ""
    rows = [bike_row(bike) for bike in bikes]
    title = _("%(group)s, no session left") % {"group": group}
    for times in day.times:
        if times.session.group_id == group.pk and not times.over:
            running = times.state == SessionState.RUNNING
            words = _("%(group)s is out, in %(at)s") if running else _("%(group)s rolls %(at)s")
            moment = times.end if running else times.start
            title = words % {"group": group, "at": _hhmm(day, moment)}
            until = moment.isoformat()
            break
    count = ngettext("%(n)d bike", "%(n)d bikes", len(rows)) % {"n": len(rows)}
    return GroupList(group.letter, title, count, rows, until, folded)


def bike_row(bike: BikeDay) -> BikeRow:
    entry = bike.entry
    named = bike.shared_number or bike.look_alike or not entry.number
    look = f"{entry.bike} {entry.bike.colour}".strip()
    return BikeRow(
        entry_id=entry.pk,
        number=entry.number or "–",
        letter=entry.group.letter,
        name=f"{look} …{WORD_JOINER}{entry.bike.frame_last4}" if named else "",
        frame=f"…{WORD_JOINER}{entry.bike.frame_last4}" if named else "",
        state=bike.state.value,
        word=state_words(bike),
        detail=_detail(bike),
        until=bike.until.isoformat() if bike.until and bike.where.place == BikePlace.IN else "",
        stops=bike.state in STOPS or bike.where.held_but_out or bike.rolled_unchecked,
        hands=who_is_on_it(bike),
        missed=bike.state == BikeState.IN and bool(bike.missed),
    )


def who_is_on_it(bike: BikeDay) -> str:
    """Who of the crew is on this bike now, each once."""
    names = [task.started.by.display_name for task in bike.tasks if task.started]
    return _("%(names)s on it") % {"names": _(" and ").join(dict.fromkeys(names))} if names else ""


def state_words(bike: BikeDay) -> str:
    """The state in a word, the count of open tasks with it."""
    if bike.where.held_but_out:
        return _("out, held")
    if bike.is_out and bike.rolled_unchecked:
        return _("out, not checked")
    if bike.state == BikeState.OPEN:
        return _("%(n)d open") % {"n": bike.open_count}
    return str(bike.state.label)


def _detail(bike: BikeDay) -> str:
    if bike.state == BikeState.HELD:
        return bike.holds[0].words
    if bike.rolled_unchecked and not bike.is_out:
        return _("arrival safety not made")
    if bike.where.place == BikePlace.OUT and bike.changed_last_time:
        return _("changed")
    if bike.state in (BikeState.NOTHING_OPEN, BikeState.IN) and bike.missed:
        return _("missed: %(what)s") % {"what": bike.missed[0].item.text}
    return ""


def _hhmm(day: Day, moment: datetime) -> str:
    return f"{clock.local(day.trackday, moment):%H:%M}"
