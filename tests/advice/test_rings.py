"""The rings of the book: which changes lie between them, and how far they scatter."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from jobs.advice.selectors.rings import ring_prior, rings_of
from jobs.garage.enums import Firming, Function, Unit
from jobs.garage.models import Adjuster, Bike, Fitting
from jobs.people.models import OwnBand
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import LAP_TIMES

from ..days import local
from ..queries import queries
from .story import Story


@pytest.fixture
def ridden(cast):
    """A bike whose fork has a preload that is counted in turns of 1 mm."""
    story = Story(cast)
    Bike.objects.filter(pk=story.entry.bike_id).update(front_preload_mm_per_turn=1)
    story.preload = Adjuster.objects.create(
        bike=story.entry.bike, end="front", leg="both", function=Function.PRELOAD, unit=Unit.TURN,
        highest=15, firming=Firming.UP, range_counted=True,
    )  # fmt: skip
    story.act("count", counts=[{"adjuster": story.preload.pk, "position": "5"}])
    return story


def rides(story, *rings, since=1):
    """One outing after another, each with its ring."""
    for number, used in enumerate(rings, since):
        story.came_in(number)
        story.read("travel", "front", "mm", used=used)


def turns(story, start, end):
    story.act(
        "change",
        moves=[
            {"adjuster": story.preload.pk, "from_position": str(start), "to_position": str(end)}
        ],
    )


def front(story):
    return [row.ring for row in rings_of(bike=story.entry.bike)[story.entry.bike_id, "front"]]


def test_a_ring_stands_with_rider_venue_surface_and_the_shift_of_the_change_before_it(ridden):
    rides(ridden, 90, 92)
    turns(ridden, 5, 6)
    rides(ridden, 91, since=3)
    first, second, third = front(ridden)
    assert [ring.used_mm for ring in (first, second, third)] == [90, 92, 91]
    assert first.seen_in == third.seen_in
    assert (first.seen_in.rider, first.seen_in.surface) == (str(ridden.entry.rider_id), "dry")
    assert (first.shifts, second.shifts) == ((), ())
    (shift,) = third.shifts
    assert shift.mm == pytest.approx(-0.8, abs=0.05)
    assert "usual air was taken" in " ".join(shift.cautions)
    assert third.untold == ()


def test_a_spring_fitted_between_two_rings_ends_the_level(ridden):
    rides(ridden, 90)
    Fitting.objects.create(
        bike=ridden.entry.bike, end="front", kind="spring", name="10.0 N/mm",
        fitted_at=local(9, 50),
    )  # fmt: skip
    rides(ridden, 84, since=2)
    assert front(ridden)[1].untold == ("10.0 N/mm",)


def test_a_change_of_damping_is_a_doubt_and_a_turn_without_mm_ends_the_level(ridden):
    damping = Adjuster.objects.get(bike=ridden.entry.bike, leg="left", function=Function.REBOUND)
    rides(ridden, 90)
    ridden.act(
        "change", moves=[{"adjuster": damping.pk, "from_position": "10", "to_position": "8"}]
    )
    rides(ridden, 91, since=2)
    Bike.objects.filter(pk=ridden.entry.bike_id).update(front_preload_mm_per_turn=None)
    turns(ridden, 5, 6)
    rides(ridden, 90, since=3)
    _first, second, third = front(ridden)
    assert [(shift.mm, shift.sd_mm) for shift in second.shifts] == [(0, 1)]
    assert (third.shifts, third.untold) == ((), ("preload",))


def test_laps_and_rain_are_known_of_a_ring(ridden):
    rides(ridden, 90)
    ridden.came_in(2)
    ridden.act("conditions", wet=True, trackday=ridden.trackday.pk)
    ridden.laps(103)
    ridden.read("travel", "front", "mm", used=81)
    dry, wet = front(ridden)
    assert (dry.laps, dry.seen_in.surface) == (None, "dry")
    assert (wet.laps, wet.seen_in.surface) == (6, "wet")


def test_laps_taken_back_are_not_known(ridden):
    ridden.came_in(1)
    ridden.laps(103)
    row = Reading.objects.get(kind=LAP_TIMES.name)
    ridden.read("travel", "front", "mm", used=81)
    ridden.act("withdraw", row=str(row.pk))
    assert [ring.laps for ring in front(ridden)] == [None]


def test_damping_changed_with_a_preload_adds_its_doubt(ridden):
    damping = Adjuster.objects.get(bike=ridden.entry.bike, leg="left", function=Function.REBOUND)
    rides(ridden, 90)
    turns(ridden, 5, 6)
    rides(ridden, 90, since=2)
    ridden.act(
        "change",
        moves=[
            {"adjuster": ridden.preload.pk, "from_position": "6", "to_position": "7"},
            {"adjuster": damping.pk, "from_position": "10", "to_position": "8"},
        ],
    )
    rides(ridden, 90, since=3)
    _first, second, third = front(ridden)
    ((alone,), (both,)) = second.shifts, third.shifts
    assert both.sd_mm == pytest.approx(alone.sd_mm + 1, abs=0.05)
    assert both.mm == pytest.approx(alone.mm, abs=0.05)


def test_more_rings_and_changes_take_no_more_queries(ridden):
    ridden.came_in(1)
    ridden.laps(100)
    rides(ridden, 90, 92)
    turns(ridden, 5, 6)
    counts = []
    for since in (3, 5):
        rides(ridden, 91, 93, since=since)
        turns(ridden, since + 3, since + 4)
        turns(ridden, since + 4, since + 5)
        with queries() as counted:
            rings_of()
        counts.append(len(counted))
    assert counts == [8, 8]


def said():
    out = StringIO()
    call_command("outlook", stdout=out)
    return out.getvalue()


def test_the_command_prints_the_scatter_of_each_rider_and_what_is_believed(ridden):
    rides(ridden, 90, 93, 87)
    printed = said()
    assert "front: spread believed before any ring 2.22 mm (as shipped)" in printed.lower()
    assert (
        f"  {ridden.entry.rider.name:<28}   3 rings  scatter 3.00 mm  2 of 2 in the band" in printed
    )
    assert "2 of 2 next rings came in their 90 % band: too few to say (20 are needed)." in printed
    assert "No ring has been read of two like outings yet: read travel used." in printed


def test_the_business_replaces_what_is_believed(ridden):
    OwnBand.objects.create(key="ring_front", low=2, high="4.5")
    assert ring_prior("front", {"ring_front": (2, 4.5)}).spread_mm == 3
    assert "front: spread believed before any ring 3.00 mm (your own figure)" in said().lower()


def test_a_figure_of_the_business_that_cannot_be_is_refused_by_name(ridden):
    OwnBand.objects.create(key="ring_front", low=0, high=4)
    with pytest.raises(CommandError, match="Your own figures: spread of rings: 0 mm was given"):
        said()
