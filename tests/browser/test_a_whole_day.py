"""A whole day at speed: two files, a dozen bikes, three people, every session, one evening.

Nothing here reaches past the screens but the clock: what people see, enter and tap is the
whole of it. The day goes as days go: fog, a walk-up, a lever that is not firm, changes and
what became of them, a red flag, rain over lunch, a rider who sits one out.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from operator import itemgetter

import pytest
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD, business_build
from jobs.desk.demo.day import day_import
from jobs.desk.demo.tyres import tyres_fit
from jobs.people.models import User
from jobs.setups.models import Judgement
from jobs.trackday.clock import SessionTimes
from jobs.trackday.models import Entry, Trackday
from jobs.trackday.selectors import trackday_times
from jobs.trackday.services import crew_join
from jobs.worklist.bikes import BikeDay, passed
from jobs.worklist.models import Hold
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plans

from .at_work import Person

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

NAMES = ("roan", "pim", "sunniva")
HOT = {"first": "Hot pressures", "roan": 1, "pim": 1, "sunniva": 1}
CHANGED = ("FH-01", "FH-07")
ON = date(2026, 6, 13)
OF_GROUP = 3  # bikes of each group that came


@dataclass
class Crew:
    roan: Person
    pim: Person
    sunniva: Person
    day: Trackday

    def walk(self, *, first: str = "", roan: int = 0, pim: int, sunniva: int) -> None:
        """Everybody looks at the own round and does what there is time for, ``first`` first."""
        for person, most in ((self.roan, roan), (self.pim, pim), (self.sunniva, sunniva)):
            if most:
                person.look()
            for _task in range(most):
                if first and person is not self.roan:
                    person.take(first)
                if not person.do():
                    break

    def bike(self, ref: str) -> Entry:
        return self.day.entries.get(ref=ref)


@pytest.fixture
def trackday(monkeypatch: pytest.MonkeyPatch) -> Trackday:
    """The demo's house and day as imported, the first three bikes of every group."""
    monkeypatch.setattr(plans, "PAGE_SEARCH_SECONDS", 0.0)  # the same plans on any machine
    day = day_import(venue=business_build(), on=ON)
    tyres_fit(trackday=day)
    for group in day.groups.all():
        kept = group.entries.order_by("ref").values_list("pk", flat=True)[:OF_GROUP]
        group.entries.exclude(pk__in=list(kept)).delete()
    for name in NAMES:
        crew_join(trackday=day, user=User.objects.get(username=name))
    return day


def clock_to(at: datetime) -> None:
    Trackday.objects.update(clock_anchor=at, clock_set_at=at, clock_rate=0)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def sessions(trackday: Trackday) -> list[SessionTimes]:
    """Every session in the order it is expected."""
    return [times for times in trackday_times(trackday).sessions if times.runs]


def arrivals(crew: Crew, start: datetime) -> None:
    """Plates are tapped as the bikes come; two helpers check, count and read.

    What is to be changed later is counted first; the rest in the order of the plan.
    """
    for entry in crew.day.entries.order_by("group__order", "ref"):
        crew.pim.arrived(entry)
    crew.pim.told("is here")
    for ref in CHANGED:  # whoever's turn it would be
        counted(crew, crew.bike(ref))
    for before in range(82, 15, -9):
        clock_to(start - minutes(before))
        crew.walk(pim=4, sunniva=4)


def counted(crew: Crew, entry: Entry) -> None:
    """Identified and counted, so that something can be changed later."""
    for words in ("Identify", "Clicker count"):
        crew.pim.to_bike(entry)
        crew.pim.tap(crew.pim.page.get_by_role("link", name=words).first)
        crew.pim.do()
    crew.pim.to_round()


def fog(crew: Crew) -> None:
    crew.roan.to_board()
    crew.roan.tap(crew.roan.page.get_by_role("button", name="10 minutes later"))
    crew.roan.tap(crew.roan.page.get_by_role("button", name="Delay by 10 minutes"))
    crew.roan.told("Everything not yet started is moved by 10 minutes.")
    expect(crew.roan.page.locator("#board .warnword").first).to_contain_text("10 min late")
    crew.roan.to_round()


def a_walk_up(crew: Crew) -> None:
    page = crew.sunniva.page
    crew.sunniva.to_day("walk-up")
    page.fill("[name=number]", "118")
    crew.sunniva.tap(page.get_by_text("C", exact=True))
    page.fill("[name=name]", "Ebba Tarn")
    page.fill("[name=phone]", "+353 1 000 0199")
    crew.sunniva.tap(page.get_by_role("button", name="Enter the bike"))
    crew.sunniva.told("Ebba Tarn is entered in group C")
    crew.sunniva.to_round()


def a_lever_that_is_not_firm(crew: Crew) -> None:
    """Failed at the check before it rolls, held, seen by the tuner, mended, checked again."""
    entry, page = crew.bike("FH-19"), crew.pim.page
    crew.pim.to_bike(entry)
    crew.pim.tap(page.get_by_role("link", name="Pre-grid check").first)
    lever = page.locator(".points fieldset", has_text="Front lever")
    crew.pim.tap(lever.get_by_text("Fail", exact=True))
    page.fill("#note", "lever comes back to the bar")
    crew.pim._post(crew.pim.hand.locator("[name=how][value='rest passes']"))
    crew.pim.told("is held")

    tuner = crew.roan.page
    crew.roan.to_board()
    crew.roan.tap(tuner.get_by_role("link", name="lever comes back to the bar").first)
    tuner.get_by_label("What was found or mended").fill("bled, firm")
    crew.roan.tap(tuner.get_by_role("button", name="Release this hold"))
    crew.roan.told("Released")
    crew.roan.to_round()

    crew.pim.to_bike(entry)
    crew.pim.tap(page.get_by_role("link", name="not passed: check again").first)
    crew.pim.do()
    crew.pim.to_round()


def a_change(ref: str) -> Callable[[Crew], None]:
    """One step on one adjuster, read back, with what should be seen after the next outing."""

    def made(crew: Crew) -> None:
        page = crew.roan.page
        page.goto(f"/bikes/{crew.bike(ref).pk}/")
        crew.roan.tap(page.locator("a.adjuster").first)
        crew.roan.tap(page.locator(".change .pick:has(input[name=by]:not([disabled]))").last)
        page.fill("#expectation", "one movement, then at rest")
        crew.roan.tap(page.get_by_role("button", name="Changed, read back", exact=True))
        expect(page.locator("#notices .success")).to_have_count(1)
        crew.roan.to_round()

    return made


def red_flag(crew: Crew) -> None:
    """The session is over; what it should have shown is not tested, in one tap."""
    page = crew.roan.page
    crew.roan.to_day("timetable")
    row = page.locator(".timetable li.running")
    crew.roan.tap(row.get_by_role("button", name="Cut short"))
    crew.roan.told("cut short")
    crew.roan.to_board()
    crew.roan.tap(page.get_by_role("button", name="Not tested, all of them"))
    crew.roan.told("1 expectation of B 3: not tested.")
    crew.roan.to_round()


def weather(track: str, surface: str) -> Callable[[Crew], None]:
    def entered(crew: Crew) -> None:
        page = crew.sunniva.page
        crew.sunniva.to_day("conditions")
        page.fill("[name=track_c]", track)
        crew.sunniva.tap(page.get_by_text(surface, exact=True))
        crew.sunniva.tap(page.get_by_role("button", name="From now on"))
        crew.sunniva.told(f"Conditions from now on: {surface.lower()}, track {track} °C")
        crew.sunniva.to_round()

    return entered


def sits_out(crew: Crew) -> None:
    crew.sunniva.to_bike(crew.bike("FH-20"))
    crew.sunniva.tap(crew.sunniva.page.get_by_role("button", name="Did not go out"))
    crew.sunniva.told("did not go out in D 5")
    crew.sunniva.to_round()


def nothing(crew: Crew) -> None:
    """Most sessions run as they should."""


# What happens at each session: before it rolls, and while it is out.
BEFORE = {
    "A 1": fog,
    "C 1": a_walk_up,
    "D 1": a_lever_that_is_not_firm,
    "A 3": a_change(CHANGED[0]),
    "B 3": a_change(CHANGED[1]),
    "C 3": weather("14", "Wet"),
    "C 4": weather("23", "Dry"),
}
DURING = {"B 3": red_flag, "D 5": sits_out}


def played(crew: Crew) -> None:
    """Each session: checked before it rolls, read when it is back; what else fits, fits."""
    back: datetime | None = None
    for name in [str(times.session) for times in sessions(crew.day)]:
        clock_to(times_of(crew.day, name).start - minutes(10.5))
        BEFORE.get(name, nothing)(crew)
        start = times_of(crew.day, name).start
        moments = [(start - minutes(10), {"first": "Pre-grid check", "pim": 2, "sunniva": 2})]
        if back is not None:
            moments.append((back + minutes(2.5), HOT))
        for at, work in sorted(moments, key=itemgetter(0)):
            clock_to(at)
            crew.walk(**work)
        clock_to(start + minutes(9))
        DURING.get(name, nothing)(crew)
        back = times_of(crew.day, name).end
    assert back is not None
    clock_to(back + minutes(2.5))
    crew.walk(**HOT)


def times_of(trackday: Trackday, name: str) -> SessionTimes:
    return next(t for t in trackday_times(trackday).sessions if str(t.session) == name)


def evening(crew: Crew) -> None:
    """Counted against the record, handed over; nobody has anything left to do."""
    close = max(t.end for t in trackday_times(crew.day).sessions)
    clock_to(close + minutes(6))
    for _round in range(40):
        people = (crew.pim, crew.sunniva, crew.roan)
        for person in people:
            person.look()
        if not sum(bool(person.do()) for person in people):
            return
    raise AssertionError("the rounds do not end")


def test_a_whole_day_and_an_evening_with_nothing_loose(person, trackday):
    start = sessions(trackday)[0].start
    clock_to(start - minutes(90))
    people = (Person(person(name, PASSWORD, size="tablet"), trackday) for name in NAMES)
    crew = Crew(*people, day=trackday)
    for one in (crew.roan, crew.pim, crew.sunniva):
        one.to_round()
    arrivals(crew, start)
    played(crew)
    evening(crew)
    crew.roan.to_day("evening")
    expect(crew.roan.page.locator("main")).to_contain_text("Nothing is loose")

    assert [hold.release_reason for hold in Hold.objects.all()] == ["bled, firm"]
    verdicts = Judgement.objects.values_list("verdict", flat=True)
    assert sorted(verdicts) == ["not_tested", "seen"]
    bikes = day_read(Trackday.objects.select_related("venue").get()).bikes
    assert len(bikes) == 4 * OF_GROUP + 1
    assert all(line.endswith("missed") for line in unchecked(bikes)), unchecked(bikes)


def unchecked(bikes: Sequence[BikeDay]) -> list[str]:
    """The outings that were ridden without their check before them."""
    return [
        f"{bike.entry.number} {bike.entry.group.letter}, session {task.session_id}: {task.state}"
        for bike in bikes
        for task in bike.tasks
        if task.item.code == "pre-grid" and not passed(task)
    ]
