"""What was measured is seen: a number raises the finding that a tap would raise."""

from datetime import timedelta

import pytest
from django.db.models import F
from django.urls import reverse

from jobs.advice.selectors import evidence
from jobs.advice.selectors.reasons import reason_of_suggestion
from jobs.people.models import OwnBand
from jobs.setups.models import Reading
from jobs.tuning.terms import End
from tests.acts.doing import clock_set
from tests.days import local
from tests.queries import queries

from .story import Story

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    story = Story(cast)
    story.came_in(1)
    return story


def codes(story, end="front"):
    return [row.finding.code for row in story.basis().advice.findings if row.logged.end == End(end)]


def push(story, end="front", **values):
    numbers = [
        {"name": name, "on": True}
        if value is True
        else {"name": name, "value": str(value), "unit": "s" if name == "seconds" else "count"}
        for name, value in values.items()
    ]
    story.act("reading", kind="push", end=end, values=numbers)


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        ({"seconds": "1.6"}, "B1"),
        ({"slow": True}, "B1"),
        ({"slow": True, "seconds": "1"}, "B1"),
        ({"hesitates": True}, "B1"),
        ({"stays": True}, "B1"),
        ({"seconds": "0.5"}, "B3"),
        ({"quick": True}, "B3"),
        ({"kicks": True}, "B3"),
        ({"right": True, "swings": 2}, "B3"),
        ({"swings": 3}, "B4"),
    ],
)
def test_a_hot_push_raises_its_finding_typed_or_tapped(story, seen, code):
    push(story, **seen)
    assert codes(story) == [code]


@pytest.mark.parametrize("seen", [{"seconds": "1"}, {"right": True}, {"right": True, "swings": 1}])
def test_a_push_as_wanted_raises_nothing(story, seen):
    push(story, **seen)
    assert codes(story) == []


def test_how_many_passes_are_wanted_is_the_businesss_own_and_per_end(story):
    push(story, "rear", right=True, swings=1)
    assert codes(story, "rear") == ["B3"]
    OwnBand.objects.create(key="passes_rear", low=0, high=1)
    assert codes(story, "rear") == []


def test_the_suggestion_follows_from_the_number_alone(story):
    """As if somebody had tapped "Slow return when hot"; the reading is said beside it."""
    push(story, seconds="1.6")
    (row,) = story.basis().advice.findings
    assert "1.6 s" in row.logged.measured
    suggestion = story.plan().suggestion
    assert (suggestion.function, suggestion.direction) == ("rebound", "softer")


def test_what_was_tapped_too_is_not_raised_twice(story):
    story.found("B1")
    push(story, seconds="1.6")
    (row,) = story.basis().advice.findings
    assert row.logged.measured == ""


def test_a_sag_out_of_its_band_is_said(story, cast, signed_in):
    story.read("sag", "rear", "mm", hanging=127, after_push=75, after_lift=81)
    assert story.basis().out_of_band == ["Rear sag 49 mm, above 25 to 35 mm"]
    page = signed_in(cast.tuner).get(reverse("board:advice", args=[story.entry.pk]))
    assert "Rear sag 49 mm" in page.content.decode()


@pytest.mark.parametrize(
    ("hot", "said"),
    [
        ("31", ["Front pressure rose 1.0 psi, little: 2 or less"]),
        ("33", []),
        ("41", ["Front pressure rose 11.0 psi, much: over 10"]),
    ],
)
def test_a_pressure_that_rose_little_or_much_says_the_limit(story, hot, said):
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="30")
    story.read("pressure", "front", "psi", tyre_state="track", pressure=hot)
    assert story.basis().out_of_band == said


def test_a_ring_outside_the_band_of_its_pace_says_the_band(story):
    story.read("travel", "rear", "mm", used=108)
    assert story.basis().out_of_band == ["Rear travel 108 of 120 mm at the wheel, above 60 to 80 %"]


def test_a_slow_push_on_cold_oil_is_a_finding_until_the_end_was_pushed_hot(story):
    clock_set(story.trackday, local(8, 30))
    push(story, slow=True, seconds="2.9")
    assert codes(story) == ["B2"]
    story.came_in(1)
    push(story, right=True)
    assert codes(story) == []
    story.came_in(2)
    assert codes(story) == []


def test_a_ring_past_the_end_mark_is_its_finding(story):
    story.read("travel", "front", "mm", used=119)
    assert "V1" in codes(story)


def heat(story, end="rear", *, tyre_state="", left="70", centre="74", right="75"):
    story.read(
        "tyre_temperature",
        end,
        "degC",
        tyre_state=tyre_state,
        left=left,
        centre=centre,
        right=right,
    )


def later(story, minutes):
    """The clock: the bike stands this many minutes."""
    clock_set(story.trackday, local(9) + timedelta(minutes=20 + minutes))


def test_a_tyre_as_warm_as_usual_says_nothing(story):
    heat(story)
    assert (codes(story, "rear"), story.basis().out_of_band) == ([], [])


def test_a_tyre_much_hotter_on_one_side_is_its_finding_as_if_tapped(story):
    heat(story, left="60", right="84")
    (row,) = story.basis().advice.findings
    assert (row.finding.code, row.logged.end) == ("T8", End.REAR)
    assert row.logged.measured == (
        "Rear tyre right side 24 °C hotter than the other: "
        "surface only, 3 min after the stop, a hint"
    )
    assert story.basis().advice.at(End.REAR).suggestion is None


def test_a_tyre_hotter_on_one_side_that_was_tapped_is_not_said_twice(story):
    story.found("T8", end="rear")
    heat(story, left="60", right="84")
    (row,) = story.basis().advice.findings
    assert row.logged.measured == ""


def test_a_surface_too_hot_and_a_centre_apart_are_said_without_a_verdict(story, cast, signed_in):
    heat(story, left="80", centre="112", right="90")
    said = story.basis().out_of_band
    assert said == [
        "Rear tyre at most 112 °C, above the usual 45 to 105: "
        "surface only, 3 min after the stop, a hint",
        "Rear tyre centre +27 °C against its sides: surface only, 3 min after the stop, a hint",
    ]
    page = signed_in(cast.tuner).get(reverse("board:advice", args=[story.entry.pk]))
    assert said[0] in page.content.decode()


@pytest.mark.parametrize(("minutes", "said"), [(1, 1), (3, 0)])
def test_a_tyre_is_called_cool_only_from_a_fresh_reading(story, minutes, said):
    later(story, minutes)
    heat(story, left="30", centre="33", right="34")
    assert len(story.basis().out_of_band) == said


@pytest.mark.parametrize("tyre_state", ["cold", "warmers"])
def test_only_a_tyre_off_the_track_is_judged(story, tyre_state):
    heat(story, tyre_state=tyre_state, left="20", centre="120", right="60")
    assert (codes(story, "rear"), story.basis().out_of_band) == ([], [])


def test_a_tyre_read_long_after_the_stop_says_nothing(story):
    later(story, 9)
    heat(story, left="20", centre="120", right="60")
    assert (codes(story, "rear"), story.basis().out_of_band) == ([], [])


def test_in_the_rain_a_cool_surface_is_as_it_should_be(story):
    later(story, 1)
    story.act("conditions", air_c="14", track_c="15", wet=True, trackday=story.trackday.pk)
    heat(story, left="30", centre="33", right="34")
    assert story.basis().out_of_band == []


def test_how_hot_is_usual_is_the_businesss_own(story):
    heat(story)
    OwnBand.objects.create(key="heat_rear", low=40, high=70)
    OwnBand.objects.create(key="heat_apart_rear", low=0, high=4)
    assert codes(story, "rear") == ["T8"]
    assert "Rear tyre at most 75 °C, above the usual 40 to 70" in story.basis().out_of_band[0]


def test_temperatures_read_at_one_place_alone_compare_nothing(story):
    story.read("tyre_temperature", "rear", "degC", centre="70")
    assert (codes(story, "rear"), story.basis().out_of_band) == ([], [])


def judged(story, verdict="seen"):
    story.came_in(2)
    story.judge(verdict)
    return evidence()


def change_as_suggested(story, **otherwise):
    """The front's suggestion, as its form on the advice page posts it; nobody logged anything."""
    suggestion = story.plan().suggestion
    moves = [
        {"adjuster": m.key, "from_position": str(m.from_), "to_position": str(m.to)}
        for m in suggestion.moves
    ]
    said = {"reason": reason_of_suggestion(suggestion), "expectation": suggestion.expected}
    story.act("change", moves=moves, **{**said, **otherwise})


def test_a_change_for_a_measured_finding_counts_as_evidence_on_it(story):
    push(story, seconds="1.6")
    change_as_suggested(story)
    (found,) = judged(story)
    assert (found.finding, found.end, found.function, found.direction, found.seen) == (
        "B1", "front", "rebound", "softer", 1,
    )  # fmt: skip


def test_measured_or_tapped_it_is_one_finding(story):
    """Advice knows what was tried for it, as for one that was tapped."""
    push(story, seconds="1.6")
    change_as_suggested(story)
    story.came_in(2)
    (tried,) = [one.tried() for one in story.basis().change_sets]
    assert tried.finding == "B1"


def test_a_change_made_for_another_reason_is_no_evidence_on_what_was_measured(story):
    push(story, seconds="1.6")
    change_as_suggested(story, reason="the rider wants it softer", expectation="less harsh")
    (found,) = judged(story)
    assert found.finding == ""


def test_what_was_measured_after_the_change_is_not_its_reason(story):
    push(story, seconds="1.6")
    suggestion = story.plan().suggestion
    change_as_suggested(story)
    Reading.objects.update(done_at=F("done_at") + timedelta(minutes=1))
    assert "1.6 s" in reason_of_suggestion(suggestion)
    (found,) = judged(story)
    assert found.finding == ""


def test_a_reading_taken_back_shows_nothing(story):
    push(story, seconds="1.6")
    change_as_suggested(story)
    Reading.objects.update(withdrawn_at=local(9, 30))
    (found,) = judged(story)
    assert found.finding == ""


def test_the_queries_of_evidence_do_not_grow_with_what_was_measured(story):
    push(story, seconds="1.6")
    change_as_suggested(story)
    counts = []
    for number in (2, 3):
        story.came_in(number)
        story.judge("seen")
        with queries() as asked:
            evidence()
        counts.append(len(asked))
        push(story, seconds="1.7")
        change_as_suggested(story)
    assert counts == [21, 21]
