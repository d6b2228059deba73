"""One day of one bike as a customer reads it: as it stood when the day ended, or stands now."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage.models import Fitting
from jobs.people.models import Business
from jobs.setups import sentences
from jobs.setups.cards import AdjusterCard, EndOfBike, ends
from jobs.setups.day_plots import day_plots
from jobs.setups.models import BikePhoto, Reading
from jobs.setups.reading_kinds import LAP_TIMES
from jobs.setups.selectors import (
    Chapter,
    FittedPart,
    Standing,
    findings_of_entry,
    judged_of_earlier_days,
    orders_open,
    readings_of_entry,
    standings_of_day,
    stories_of_entry,
    timeline_of_entry,
)
from jobs.trackday import clock
from jobs.trackday.models import Entry

from .figures import DayFigures, day_figures
from .glossary import screw_of
from .parts import PartOn, fitted_parts, parts_on
from .told import DayTold, day_told

OF_THE_MACHINE = ("change", "count", "reading")


@dataclass(frozen=True)
class SettingRow:
    """One adjuster before and after: which screw it is, where it came and where it stands."""

    name: str
    card: AdjusterCard

    @property
    def standing(self) -> Standing:
        return self.card.standing

    @property
    def screw(self) -> str:
        return screw_of(self.card.adjuster)


@dataclass(frozen=True)
class ToldSession:
    """One session, with what a closed row says of it."""

    chapter: Chapter
    summary: str


@dataclass(frozen=True)
class BikeDayForOwner:
    """``is_whole``: or only the machine: nobody's name, words or lap times.

    ``fitted``: every part the bike had by the end of the day, those taken off among them.
    """

    entry: Entry
    standings: Sequence[Standing]
    readings: Sequence[Reading]
    told: DayTold
    figures: DayFigures
    fitted: Sequence[FittedPart]
    recommended: Sequence[str]
    chapters: Sequence[Chapter]
    plots: Sequence[dict[str, Any]]
    is_over: bool
    until: datetime
    is_whole: bool

    @property
    def ends(self) -> list[EndOfBike]:
        return ends(self.standings)

    @property
    def settings(self) -> list[SettingRow]:
        """Every adjuster that was ever counted, those that were moved first."""
        rows = [
            SettingRow(card.full_name, card)
            for end in self.ends
            for card in end.cards
            if card.standing.row is not None
        ]
        return sorted(rows, key=lambda row: not row.standing.moved)

    @property
    def moved(self) -> list[SettingRow]:
        return [row for row in self.settings if row.standing.moved]

    @property
    def unmoved(self) -> list[SettingRow]:
        return [row for row in self.settings if not row.standing.moved]

    @property
    def parts(self) -> list[PartOn]:
        return parts_on(self.fitted, self.until)

    @property
    def sessions(self) -> list[ToldSession]:
        """The newest first."""
        return [ToldSession(chapter, self._summary(chapter)) for chapter in self.chapters]

    def _summary(self, chapter: Chapter) -> str:
        session = chapter.session.number if chapter.session else None
        read = [row for row in self.figures.pressures if row.session == session]
        if chapter.session is None:
            done = _("counted and read before the first roll")
        else:
            done = _n_changes(chapter.changes)
        if not read or not (read[-1].front and read[-1].rear):
            return done
        return _("tyres %(front)s front, %(rear)s rear %(unit)s; %(done)s") % {
            "front": read[-1].front,
            "rear": read[-1].rear,
            "unit": self.figures.unit,
            "done": done,
        }


def _n_changes(n: int) -> str:
    return ngettext("%(n)s change", "%(n)s changes", n) % {"n": n} if n else _("nothing changed")


def bike_day(entry: Entry, business: Business, photos: Iterable[BikePhoto] = ()) -> BikeDayForOwner:
    """A day as ``history.own_entries`` gave it: whole, or only of the machine.

    ``photos`` of that day, as far as the reader may see them.
    """
    is_whole = bool(getattr(entry, "is_whole", False))
    _begins, day_ends = clock.bounds(entry.trackday)
    now = clock.now(entry.trackday)
    until = min(now, day_ends)
    readings = readings_of_entry(entry)
    stories = stories_of_entry(entry)
    if not is_whole:
        readings = [one for one in readings if one.kind != LAP_TIMES.name]
        stories = [replace(one, reason="", expectations=()) for one in stories]
    findings = [one for one in findings_of_entry(entry) if is_whole]
    of_earlier = judged_of_earlier_days(entry) if is_whole else []
    standings = standings_of_day(entry)
    fitted = fitted_parts(entry.bike, until)
    chapters = timeline_of_entry(entry, readings)
    return BikeDayForOwner(
        entry=entry,
        standings=standings,
        readings=readings,
        told=day_told(stories, findings, photos, of_earlier, is_whole=is_whole),
        figures=day_figures(entry, readings, _fittings(fitted), business),
        fitted=fitted,
        recommended=[sentences.order(one.rows) for one in orders_open(entry, until=day_ends)],
        chapters=chapters if is_whole else _of_the_machine(chapters),
        plots=day_plots(entry, standings, readings),
        is_over=now >= day_ends,
        until=until,
        is_whole=is_whole,
    )


def _fittings(fitted: Iterable[FittedPart]) -> list[Fitting]:
    return [one.fitting for one in fitted]


def _of_the_machine(chapters: list[Chapter]) -> list[Chapter]:
    """What was set and read, without the words beside it."""
    kept = [
        Chapter(
            chapter.session,
            [
                replace(line, quiet="", parts=())
                for line in chapter.lines
                if line.kind in OF_THE_MACHINE and not line.withdrawn
            ],
        )
        for chapter in chapters
    ]
    return [chapter for chapter in kept if chapter.lines]
