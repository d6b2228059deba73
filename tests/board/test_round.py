"""The round: the task in hand, entered and ticked, nothing typed is lost."""

import uuid

import pytest
from django.urls import reverse

from jobs.people.models import Business
from jobs.setups.models import Finding, Reading
from jobs.worklist.enums import TaskState
from jobs.worklist.models import Hold, TaskMark
from jobs.worklist.planned.problem import id_text
from jobs.worklist.planned.stored import Slots
from jobs.worklist.rounds import ranked_steps, round_of, rounds
from jobs.worklist.selectors import day_read
from tests.acts.doing import do, item, pre_grid, rebound_changed, task_now
from tests.days import local
from tests.markup import one_line

pytestmark = pytest.mark.django_db


def tick(browser, day, entry, code, session=None, **fields):
    which = item(day.trackday, code)
    url = reverse("board:tick", args=[day.trackday.pk])
    form = {
        "act_id": str(uuid.uuid4()),
        "task": str(task_now(entry, code, session).id),
        "entry": entry.pk,
        "session": session or "",
        "item": which.pk,
        "how": "tick",
        **fields,
    }
    return browser.post(url, form, headers={"HX-Request": "true"}).content.decode()


def test_pressures_are_entered_in_the_business_unit(day, signed_in, helper):
    page = tick(
        signed_in(helper),
        day,
        day.entries[0],
        "cold-pressures",
        **{"reading-0-pressure": "32,5", "reading-1-pressure": "29"},
    )
    assert "Done: Cold pressures." in page
    values = [
        (str(r.measurements.get().value), r.measurements.get().unit) for r in Reading.objects.all()
    ]
    assert values == [("32.500", "psi"), ("29.000", "psi")]


def test_a_number_keeps_the_unit_it_was_typed_in(day, signed_in, helper):
    """Kept on a tablet without network, it may arrive after the business took another unit."""
    browser, entry = signed_in(helper), day.entries[0]
    where = reverse("board:round", args=[day.trackday.pk, helper.pk])
    card = browser.get(where, {"task": str(task_now(entry, "cold-pressures").id)})
    assert '<input type="hidden" name="unit_pressure" value="psi">' in card.content.decode()
    Business.objects.update(pressure_unit="bar")
    typed = {"reading-0-pressure": "32,5", "unit_pressure": "psi"}
    refused = {**typed, "reading-1-pressure": "zwo"}
    page = tick(browser, day, entry, "cold-pressures", **refused)
    assert '<input type="hidden" name="unit_pressure" value="psi">' in page
    assert "pressure, psi" in page
    tick(browser, day, entry, "cold-pressures", **typed)
    number = Reading.objects.get().measurements.get()
    assert (str(number.value), number.unit) == ("32.500", "psi")


def test_steppers_begin_with_the_last_value_in_the_unit_of_the_cell(day, signed_in, helper):
    """32.5 psi = 2.24 bar: NIST SP 811 (2008), appendix B, 1 psi = 6.894757 kPa."""
    browser, entry = signed_in(helper), day.entries[0]
    task = str(task_now(entry, "cold-pressures").id)
    tick(browser, day, entry, "cold-pressures", **{"reading-0-pressure": "32.5"})
    Business.objects.update(pressure_unit="bar")
    TaskMark.objects.all().delete()
    Reading.objects.update(entry=None)  # read before this day: it does no task of today
    where = reverse("board:round", args=[day.trackday.pk, helper.pk])
    card = one_line(browser.get(where, {"task": task}).content.decode())
    assert 'data-step="0.05" data-before="2.24 bar"' in card
    assert '<span class="before">was 32.5 psi</span>' in card


def test_a_unit_that_is_none_is_named_and_the_form_comes_back(day, signed_in, helper):
    typed = {"reading-0-pressure": "32.5", "unit_pressure": "stone"}
    page = tick(signed_in(helper), day, day.entries[0], "cold-pressures", **typed)
    assert "given: stone" in page
    assert 'value="32.5"' in page
    assert not Reading.objects.exists()


def test_without_a_number_nothing_is_ticked_and_it_says_so(day, signed_in, helper):
    page = tick(signed_in(helper), day, day.entries[0], "cold-pressures")
    assert "No number is entered yet" in page
    assert not Reading.objects.exists()


def test_what_was_typed_is_still_there_after_a_refusal(day, signed_in, helper):
    page = tick(
        signed_in(helper),
        day,
        day.entries[0],
        "cold-pressures",
        **{"reading-0-pressure": "32.5", "reading-1-pressure": "zwo"},
    )
    assert "valid number" in page
    assert 'value="32.5"' in page


def test_all_others_pass_is_a_tap_of_its_own(day, signed_in, helper):
    entry = day.entries[0]
    tick(signed_in(helper), day, entry, "noted", **{"point-fuel": "fail", "how": "rest passes"})
    found = TaskMark.objects.get(item__code="noted").points
    assert (found["fuel"], found["rider"]) == ("fail", "pass")
    assert not Hold.objects.exists()


def test_a_change_nothing_is_expected_of_is_named_before_it_rolls(day, signed_in, helper, tuner):
    entry = day.entries[0]
    changed = rebound_changed(day.trackday, entry, tuner)
    assert changed.outcome == "applied"
    browser, task = signed_in(helper), pre_grid(entry)
    url = reverse("board:round", args=[day.trackday.pk, helper.pk])
    named = "No expectation written for rear rebound 14 to 11."
    page = browser.get(url, {"task": str(task.id)}).content.decode()
    assert named in page
    assert "All others pass: done" in page
    do(
        "expectation", tuner, day.trackday, row=str(changed.pk), text="kicks less",
    )  # fmt: skip
    assert named not in browser.get(url, {"task": str(task.id)}).content.decode()


def test_what_was_not_tapped_is_not_checked(day, signed_in, helper):
    tick(signed_in(helper), day, day.entries[0], "noted", **{"point-fuel": "pass"})
    found = TaskMark.objects.get(item__code="noted").points
    assert (found["fuel"], found["rider"]) == ("pass", "not_checked")


def test_the_riders_words(day, signed_in, helper):
    session = day.sessions[0]
    page = tick(
        signed_in(helper),
        day,
        day.entries[0],
        "words",
        session.pk,
        said="it stands up on the brakes",
        corner="Hairpin",
        phase="braking",
    )
    assert "Done: The rider" in page
    assert Finding.objects.get().words == "it stands up on the brakes"


def test_the_riders_pace_may_be_all_he_says(day, signed_in, helper):
    task = (day, day.entries[0], "words", day.sessions[0].pk)
    browser = signed_in(helper)
    assert "Write what the rider said" in tick(browser, *task)
    assert "Done: The rider" in tick(browser, *task, pace="quicker")
    said = Finding.objects.get()
    assert (said.code, said.by_rider, said.session) == ("quicker", True, day.sessions[0])
    assert str(said) == "Quicker than the outing before"
    mark = TaskMark.objects.get(item__code="words")
    done = do("withdraw", helper, day.trackday, row=str(mark.pk))
    assert done.outcome == "applied", done.answer
    said.refresh_from_db()
    assert said.withdrawn_at


def test_skipping_says_why(day, signed_in, helper):
    browser = signed_in(helper)
    tick(browser, day, day.entries[0], "noted", how="skip")
    assert task_now(day.entries[0], "noted").state != TaskState.SKIPPED
    tick(browser, day, day.entries[0], "noted", how="skip", reason="rider is away")
    assert task_now(day.entries[0], "noted").state == TaskState.SKIPPED


def test_a_task_started_leaves_the_others_rounds(day, signed_in, helper, tuner):
    entry = day.entries[3]
    task = task_now(entry, "count")
    before = round_of(day_read(day.trackday), tuner)
    assert task.id in {step.task.id for step in [*before.now, *before.spare]}
    do("start task", helper, day.trackday, entry=entry.pk, item=task.item.pk)
    after = round_of(day_read(day.trackday), tuner)
    assert task.id not in {step.task.id for step in [*after.now, *after.spare]}
    assert round_of(day_read(day.trackday), helper).next.task.id == task.id


def test_nobody_is_sent_to_the_same_task(build):
    day = build(12)
    found = rounds(day_read(day.trackday))
    tasks = [step.task.id for one in found for step in one.now]
    assert len(tasks) == len(set(tasks)) > 0
    assert {one.person.first_name for one in found} == {"Tess", "Hal"}


def test_a_helpers_round_holds_no_tuners_work(build, helper):
    day = build(12)
    mine = round_of(day_read(day.trackday), helper)
    assert {step.task.item.skill for step in [*mine.now, *mine.spare, *mine.soon]} == {"helper"}


def test_after_the_flag_hot_reads_come_before_what_can_wait(build, helper):
    day = build(4, at=local(9, 20))
    first = round_of(day_read(day.trackday), helper).next
    assert (first.task.item.code, first.bike.entry) == ("hot-reads", day.entries[0])
    assert "fades" in first.why


def test_the_check_before_the_roll_waits_only_for_work_somebody_will_do(build, helper, tuner):
    """A follow-up the plan gives to the tuner comes first; one it leaves out holds up nothing."""
    day = build(4, at=local(10, 10))
    entry = day.entries[0]  # back since 09:20, rolls at 10:20
    follow_up = task_now(entry, "follow-up", day.sessions[0].pk)
    check = task_now(entry, "pre-grid", day.sessions[4].pk)
    assert check.waits_for == ("follow-up",)

    def offered(slots):
        return {step.task.id for step in ranked_steps(day_read(day.trackday), slots)}

    given = {id_text(follow_up.id): [610, [tuner.pk]], id_text(check.id): [616, [helper.pk]]}
    assert check.id not in offered(Slots(given))
    del given[id_text(follow_up.id)]
    assert check.id in offered(Slots(given))
    assert check.id not in offered(None)


def test_a_held_bike_is_not_prepared_to_roll(build, helper):
    day = build(4, at=local(9, 50))
    entry = day.entries[3]
    do("hold", helper, day.trackday, entry=entry.pk, words="leak")
    asked = {
        step.task.item.code
        for step in round_of(day_read(day.trackday), helper).now
        if step.bike.entry.pk == entry.pk
    }
    assert "pre-grid" not in asked


def test_anothers_round_can_be_read(day, signed_in, tuner, helper):
    page = signed_in(tuner).get(reverse("board:round", args=[day.trackday.pk, helper.pk]))
    assert "Hal's round" in page.content.decode().replace("&#x27;", "'")


def test_a_round_of_nobody_is_not_found(day, signed_in, tuner, office):
    url = reverse("board:round", args=[day.trackday.pk, office.pk])
    assert signed_in(tuner).get(url).status_code == 404


def test_the_venues_own_corners_are_offered(day, signed_in, helper):
    browser = signed_in(helper)
    url = reverse("board:corners", args=[day.trackday.pk])
    browser.post(
        url,
        {
            "names": "Hairpin\nLong right\n",
            "sketch": "[[10, 10], [90, 20], [50, 55]]",
            "places": '{"Hairpin": [90, 20.04]}',
        },
    )
    task = task_now(day.entries[0], "words", day.sessions[0].pk)
    page = one_line(browser.get(f"{reverse('board:my-round')}?task={task.id}").content.decode())
    assert page.index('value="Hairpin"') < page.index('value="Long right"')
    assert "10,10 90,20 50,55" in page
    spot = '<g class="spot" data-corner="Hairpin"><circle cx="90" cy="20" r="2"/>'
    assert spot in page
    assert page.count('class="spot"') == 1
    assert '"Hairpin": [90.0, 20.0]' in browser.get(url).context["laid"]


@pytest.mark.parametrize(
    ("names", "sketch", "places", "words"),
    [
        ("Hairpin\nHairpin", "[]", "{}", "is there twice"),
        ("Hairpin", "[[10, 200]]", "{}", "outside the sheet"),
        ("Hairpin", "[]", '{"Hairpin": [10, 200]}', "outside the sheet"),
        ("Hairpin", "[1]", "{}", "could not be read"),
        ("Hairpin", "[[1, 2]]", "[1]", "could not be read"),
    ],
)
def test_a_sketch_or_corners_that_cannot_be_meant(
    day, signed_in, helper, names, sketch, places, words
):
    url = reverse("board:corners", args=[day.trackday.pk])
    form = {"names": names, "sketch": sketch, "places": places}
    assert words in signed_in(helper).post(url, form).content.decode()
    day.trackday.venue.refresh_from_db()
    assert not day.trackday.venue.corners.exists()
    assert day.trackday.venue.sketch == []


def test_a_held_bike_that_is_out_is_told_on_every_round(day, signed_in, helper):
    entry = day.entries[0]
    do("bike out", helper, day.trackday, entry=entry.pk)
    do("hold", helper, day.trackday, entry=entry.pk, words="loose caliper")
    page = signed_in(helper).get(reverse("board:my-round")).content.decode()
    assert "1 A is out though it is held: loose caliper" in page
