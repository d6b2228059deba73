"""One bike through a day, every step an act; told in the trade's order."""

from datetime import timedelta

from django.db.models import F

from jobs.acts.enums import Outcome
from jobs.advice.selectors import advice_basis_of, change_before, settlement_of
from jobs.garage.models import Adjuster, Bike
from jobs.setups.models import Expectation, Finding
from jobs.trackday.models import Entry, Venue
from jobs.tuning.terms import End

from ..acts.doing import clock_set, do
from ..days import day_build, local

FRONT = End.FRONT


class Story:
    """One bike through the day, every step an act."""

    def __init__(self, cast):
        self.tuner, self.day = cast.tuner, day_build(bikes=1)
        self.entry = self.day.entries[0]
        self.trackday, self.later = self.day.trackday, timedelta(0)
        Bike.objects.filter(pk=self.entry.bike_id).update(
            front_usable_travel_mm=120, rear_usable_travel_mm=120
        )
        self.act("arrived", entry=self.entry.pk)
        for adjuster in Adjuster.objects.filter(bike=self.entry.bike_id):
            self.act("count", counts=[{"adjuster": adjuster.pk, "position": "10"}])

    def act(self, what, /, **payload):
        done = do(what, self.tuner, self.trackday, **{"entry": self.entry.pk, **payload})
        assert done.outcome == Outcome.APPLIED, done.answer
        return done

    def came_in(self, number):
        """Three minutes after the bike stood again after its group's session."""
        at = local(9) + timedelta(minutes=(number - 1) * 80 + 18 + 2 + 3)
        clock_set(self.trackday, at + self.later)

    def comes_back(self, *, after, venue=None):
        """The same bike and rider at another day, ``after`` days later; at another venue."""
        self.later, before = timedelta(days=after), self.entry
        self.day = day_build(bikes=0, at=local(8) + self.later)
        self.trackday = self.day.trackday
        self.trackday.date += self.later
        if venue:
            self.trackday.venue = Venue.objects.create(name=venue, timezone="Europe/Dublin")
        self.trackday.save()
        self.trackday.sessions.update(
            planned_start=F("planned_start") + self.later, planned_end=F("planned_end") + self.later
        )
        self.entry = Entry.objects.create(
            trackday=self.trackday, group=self.day.groups[0], bike=before.bike, rider=before.rider,
            package=self.day.package, payer=before.payer, number="7",
        )  # fmt: skip
        self.act("arrived", entry=self.entry.pk)

    def read(self, kind, end, unit, *, tyre_state="", **values):
        numbers = [{"name": n, "value": str(v), "unit": unit} for n, v in values.items()]
        # The rear of this bike is measured at the wheel: its shaft's stroke is not known.
        place = "wheel" if (kind, end) == ("travel", "rear") else ""
        self.act("reading", kind=kind, end=end, values=numbers, tyre_state=tyre_state, place=place)

    def laps(self, first):
        times = [round(first + n / 10, 3) for n in range(6)]
        values = [
            {"name": "lap", "value": str(t), "unit": "s", "index": n} for n, t in enumerate(times)
        ]
        self.act("reading", kind="laps", values=values)

    def found(self, code, end="front", **more):
        done = self.act("finding", code=code, end=end, **more)
        return Finding.objects.get(pk=done.pk)

    def basis(self):
        entry = Entry.objects.select_related(
            "trackday__venue", "bike", "group", "rider", "package"
        ).get(pk=self.entry.pk)
        return advice_basis_of(entry, settlement=settlement_of(entry.bike))

    def before(self, end):
        """What one more change on this end, made now, would be confounded with."""
        return change_before(self.entry, end=end, session_id=self.basis().session_id)

    def plan(self):
        return self.basis().advice.at(FRONT)

    def do_it(self, finding=None):
        """Do what is suggested, as the screen posts it."""
        suggestion = self.plan().suggestion
        moves = [
            {"adjuster": m.key, "from_position": str(m.from_), "to_position": str(m.to)}
            for m in suggestion.moves
        ]
        self.act(
            "change",
            moves=moves,
            reason=suggestion.text,
            expectation=suggestion.expected if finding else "",
            finding=str(finding.pk) if finding else None,
        )
        return suggestion

    def judge(self, verdict, **more):
        expected = Expectation.objects.order_by("-accepted_at").first()
        self.act("judgement", expectation=str(expected.pk), verdict=verdict, **more)


def settle(story, *, wet=False):
    """Two outings as a settled bike has them, and the bike called settled."""
    if wet is not None:
        story.act("conditions", air_c="18", track_c="24", wet=wet, trackday=story.trackday.pk)
    for number in (1, 2):
        story.came_in(number)
        for end in ("front", "rear"):
            story.found("clean", end=end)
            story.read("travel", end, "mm", used=90)
        story.found("content", end="")
        story.laps(100)
    story.act("settle")
    return story
