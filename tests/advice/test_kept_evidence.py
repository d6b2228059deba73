"""The evidence that is kept by bike equals the full count, whatever happens in between."""

import random
from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from jobs.advice import services
from jobs.advice.models import KeptEvidence, OwnFinding
from jobs.advice.selectors import evidence, evidence_counted, kept_evidence
from jobs.garage.enums import FittingKind
from jobs.garage.models import Fitting
from jobs.garage.office import bike_update
from jobs.outbox.daily import OnceADay
from jobs.outbox.models import Job
from jobs.outbox.registry import HANDLERS, SCHEDULED, JobInput
from jobs.people.models import Business, OwnBand, Rider
from jobs.setups.models import Adjustment, Expectation, Judgement, Reading
from jobs.setups.selectors import standings_of_bike
from jobs.trackday.models import Entry
from jobs.trackday.services import revision_bump

from ..queries import queries
from .story import Story
from .test_ring_outlook import ridden

__all__ = ["ridden"]
pytestmark = pytest.mark.django_db


class Tuner:
    """Does anything, in any order, that the evidence of a bike rests on."""

    def __init__(self, story, chosen):
        self.story, self.chosen, self.outing, self.codes = story, chosen, 0, iter("ABCDEFGHIJKL")

    def comes_in(self):
        if self.outing == 4:
            self.outing = 0
            self.story.comes_back(after=7)
        self.outing += 1
        self.story.came_in(self.outing)

    def changes(self):
        self.comes_in()
        self.story.read("push", "front", "s", seconds=1.6)
        if self.story.plan().suggestion is None or self.story.plan().wait:
            return
        self.story.do_it(self.story.found(self.chosen.choice(["R5", "V2"])))

    def turns_the_rear(self):
        self.comes_in()
        self.story.read("travel", "rear", "mm", used=self.chosen.choice([28, 30, 33]))
        adjuster = self.story.preloads["rear"]
        (start,) = [
            one.position
            for one in standings_of_bike(self.story.entry.bike)
            if one.adjuster == adjuster
        ]
        move = {
            "adjuster": adjuster.pk,
            "from_position": str(start),
            "to_position": str(start + self.chosen.choice([-1, 1, 3])),
        }
        self.story.act("change", moves=[move], expectation="ring moves", step_reason="asked for")

    def judges(self):
        self.comes_in()
        if Expectation.objects.exists():
            told_by = self.chosen.choice(["ring", "push", ""])
            self.story.judge(self.chosen.choice(["seen", "partly", "not_seen"]), told_by=told_by)

    def takes_a_judgement_back(self):
        row = Judgement.objects.filter(withdrawn_at=None).order_by("?").first()
        if row is not None and row.entry_id == self.story.entry.pk:
            self.story.act("withdraw", row=str(row.pk))

    def says_it_is_wet(self):
        wet = self.chosen.random() < 0.5
        self.story.act("conditions", wet=wet, trackday=self.story.trackday.pk)

    def fits_a_tyre(self):
        Fitting.objects.create(
            bike=self.story.entry.bike, kind=FittingKind.TYRE, end="rear", name=uuid4().hex,
            fitted_at=timezone.now() - timedelta(days=self.chosen.randrange(400)),
        )  # fmt: skip

    def measures_the_bike(self):
        bike_update(
            bike=self.story.entry.bike,
            changes={"rear_preload_mm_per_turn": self.chosen.choice([None, 1, 2])},
        )

    def has_figures_of_the_business(self):
        OwnBand.objects.update_or_create(
            key="push_hot_front", defaults={"low": 0, "high": self.chosen.choice([1, 2])}
        )

    def another_rides_it(self):
        rider = Rider.objects.create(customer=self.story.entry.payer, name="Somebody else")
        Entry.objects.filter(pk=self.story.entry.pk).update(rider=rider)
        revision_bump(trackday_id=self.story.trackday.pk)

    def counts_at_night(self):
        services.evidence_keep()


WHAT = [name for name in vars(Tuner) if not name.startswith("_")]


@pytest.mark.parametrize("seed", range(6))
def test_kept_and_counted_agree_after_every_step(ridden, seed):
    chosen = random.Random(seed)
    tuner, judged = Tuner(ridden, chosen), 0
    for step in [*["changes", "judges", "turns_the_rear", "judges"], *chosen.choices(WHAT, k=30)]:
        getattr(tuner, step)()
        assert evidence() == evidence_counted(), (seed, step)
        judged = max(judged, sum(row.judged for row in evidence()))
        services.evidence_keep()
        assert not kept_evidence().stale
    assert judged


def judged_once(story):
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(story.found("R5"))
    story.came_in(2)
    story.judge("seen")


@pytest.fixture
def story(cast):
    story = Story(cast)
    story.came_in(1)
    judged_once(story)
    return story


def test_a_kept_count_is_read_and_not_made_again(story):
    with queries() as counted:
        before = evidence()
    assert services.evidence_keep() == 1
    with queries() as read:
        assert evidence() == before
    assert (len(counted), len(read)) == (16, 11)
    assert services.evidence_keep() == 0


def test_what_is_kept_is_what_is_shown(story):
    """Or the two tests above would prove nothing."""
    services.evidence_keep()
    KeptEvidence.objects.update(rows=[])
    assert (evidence(), bool(evidence_counted())) == ((), True)


def test_a_finding_of_the_business_counts_anew(story):
    services.evidence_keep()
    OwnFinding.objects.create(code="W1", text="", by=story.tuner)
    assert list(kept_evidence().stale) == [story.entry.bike_id]


@pytest.mark.parametrize("rows", [Reading, Adjustment])
def test_what_is_written_of_a_bike_outside_any_day_counts_anew(story, rows):
    services.evidence_keep()
    row = rows.objects.first()
    row.pk, row.entry, row.session = uuid4(), None, None
    if rows is Adjustment:
        row.seq += 1000
    row.save(force_insert=True)
    assert list(kept_evidence().stale) == [story.entry.bike_id]


def test_it_is_counted_once_a_day_where_the_business_is(story, monkeypatch):
    Business.objects.update(timezone="Europe/Dublin")
    assert services.evidence_count_ask in SCHEDULED
    for _again in range(2):
        monkeypatch.setattr(services, "_daily", OnceADay(services.COUNT))
        services.evidence_count_ask()
    (job,) = Job.objects.filter(handler=services.COUNT)
    HANDLERS[services.COUNT](JobInput(job.pk, job.payload))
    assert KeptEvidence.objects.count() == 1


def test_where_nothing_was_judged_nothing_is_counted(cast, monkeypatch):
    monkeypatch.setattr(services, "_daily", OnceADay(services.COUNT))
    services.evidence_count_ask()
    assert not Job.objects.exists()
