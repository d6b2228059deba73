"""A bike's day session by session, and the changes told to its owner."""

import pytest

from jobs.setups import services
from jobs.setups.enums import Verdict
from jobs.setups.selectors import expectations_unjudged, stories_of_entry, timeline_of_entry

from ..days import day_build, local
from .writing import arrive, change, change_legs, count, fork_legs, origin, rear_rebound

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def lines(entry):
    return [
        (chapter.title, [(line.kind, line.text) for line in chapter.lines])
        for chapter in timeline_of_entry(entry, [])
    ]


def test_the_newest_session_comes_first_and_what_was_before_any_is_called_so(tuner, entry):
    arrive(tuner, entry)
    count(tuner, entry, 14)
    change(tuner, entry, 14, 12, at=local(9, 22))
    assert lines(entry) == [
        ("Session 1", [("change", "Rear rebound from 14 out to 12 out: 2 clicks firmer.")]),
        ("Before the first session", [("count", "Rear rebound counted: 14 out.")]),
    ]


def test_first_counts_are_one_line_that_opens_to_all_of_them(tuner, entry):
    legs = fork_legs(entry)
    count(tuner, entry, 14)
    count(tuner, entry, 6, adjuster=legs[0])
    count(tuner, entry, 6, adjuster=legs[1])
    change(tuner, entry, 14, 13)
    [chapter] = timeline_of_entry(entry, [])
    assert {line.text for line in chapter.lines} == {
        "3 adjusters counted.",
        "Rear rebound from 14 out to 13 out: 1 click firmer.",
    }
    summed = next(line for line in chapter.lines if line.parts)
    assert [line.row.adjuster for line in summed.parts] == [rear_rebound(entry), *legs]
    assert summed.row == summed.parts[0].row
    assert chapter.changes == 1


def test_two_first_counts_are_summed_up_and_one_is_not(tuner, entry):
    legs = fork_legs(entry)
    count(tuner, entry, 6, adjuster=legs[0])
    assert [len(chapter.lines[0].parts) for chapter in timeline_of_entry(entry, [])] == [0]
    count(tuner, entry, 6, adjuster=legs[1])
    assert [len(chapter.lines[0].parts) for chapter in timeline_of_entry(entry, [])] == [2]


def test_a_withdrawn_first_count_is_shown_struck_through_by_itself(tuner, entry):
    row = count(tuner, entry, 14)
    services.adjustment_withdraw(origin=origin(tuner, entry), row=row)
    count(tuner, entry, 15)
    [chapter] = timeline_of_entry(entry, [])
    assert [(line.text, line.withdrawn) for line in chapter.lines] == [
        ("Rear rebound counted: 14 out.", True),
        ("Rear rebound counted: 15 out.", False),
    ]
    assert chapter.changes == 0


def test_legs_moved_alike_are_one_change_and_moved_apart_two(tuner, entry):
    legs = fork_legs(entry)
    change_legs(tuner, entry, legs, (6, 5))
    assert [len(chapter.lines) for chapter in timeline_of_entry(entry, [])] == [1]
    assert [story.text for story in stories_of_entry(entry)] == [
        "Front preload, both legs from 6 out to 5 out: 1 click softer."
    ]
    change_legs(tuner, entry, legs, (5, 4), (5, 3))
    assert [len(chapter.lines) for chapter in timeline_of_entry(entry, [])] == [3]
    assert len(stories_of_entry(entry)) == 3


def test_what_was_expected_is_told_with_what_was_seen_last(tuner, entry):
    row = change(tuner, entry, 14, 12, reason="kicks")
    expected = services.expectation_write(
        origin=origin(tuner, entry), adjustment=row, text="back in a second"
    )
    [story] = stories_of_entry(entry)
    assert (story.reason, story.oil) == ("kicks", "oil cold")
    [told] = story.expectations
    assert (told.expected, told.judged, told.verdict) == ("back in a second", False, "")
    for verdict, words in ((Verdict.NOT_SEEN, "no"), (Verdict.SEEN, "yes, at once")):
        services.expectation_judge(
            origin=origin(tuner, entry), expectation=expected, verdict=verdict, words=words
        )
    [told] = stories_of_entry(entry)[0].expectations
    assert (told.judged, told.verdict, told.words) == (True, "seen", "yes, at once")


def test_only_the_expectation_that_was_judged_waits_no_longer(tuner, entry):
    first, second = change(tuner, entry, 14, 13), change(tuner, entry, 13, 12)
    one, other = (
        services.expectation_write(origin=origin(tuner, entry), adjustment=row, text="settles")
        for row in (first, second)
    )
    assert list(expectations_unjudged([entry.pk])) == [one, other]
    judged = services.expectation_judge(
        origin=origin(tuner, entry), expectation=one, verdict=Verdict.SEEN
    )
    assert list(expectations_unjudged([entry.pk])) == [other]
    services.row_withdraw(origin=origin(tuner, entry), row=judged)
    assert list(expectations_unjudged([entry.pk])) == [one, other]
