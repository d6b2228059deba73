"""Every row of what goes wrong on a day: through the act door, and on the screen it is met on.

The rows are common practice of the trade, no source. Which test stands for which row, and on
which screen a person meets it, is the table ``ROWS`` at the end of this file.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Expectation, Judgement, KeptSetup, Reading
from jobs.trackday.enums import BikePlace, SessionState
from jobs.trackday.models import Conditions, Entry
from jobs.worklist.enums import BikeState, TaskState
from jobs.worklist.models import TaskMark
from tests.acts.doing import bike_now, clock_set, do, item, task_now, tick
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(day, signed_in, tuner):
    """The text of one of the day's screens as the tuner sees it."""
    browser = signed_in(tuner)

    def get(name: str, *args: int) -> str:
        address = reverse(f"board:{name}", args=args or [day.trackday.pk])
        return browser.get(address).content.decode()

    return get


def count_all(entry, by, position="10"):
    counts = [
        {"adjuster": pk, "position": position}
        for pk in Adjuster.objects.filter(bike=entry.bike).values_list("pk", flat=True)
    ]
    return tick("count", by, entry, counts=counts)


def change(entry, by, start, end, **more):
    adjuster = Adjuster.objects.filter(bike=entry.bike, end="rear", function="rebound").get()
    move = {"adjuster": adjuster.pk, "from_position": str(start), "to_position": str(end)}
    return do("change", by, entry.trackday, entry=entry.pk, moves=[move], **more)


def test_red_flag(day, helper, tuner, page):
    """A short session: it ends, the bikes come in, what was expected is "not tested"."""
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 30))
    count_all(entry, helper)
    change(entry, tuner, 10, 9, reason="pumps", expectation="one movement", read_back=True)
    clock_set(day.trackday, local(9, 5))
    do("session cut short", helper, day.trackday, session=day.sessions[0].pk)
    clock_set(day.trackday, local(9, 8))
    bike = bike_now(entry)
    assert bike.where.last.times.state == SessionState.CUT_SHORT
    assert task_now(entry, "judge", day.sessions[0].pk).is_open
    assert "A 1 was cut short: 1 change waits to be judged." in page("day")
    act = do("not tested", helper, day.trackday, session=day.sessions[0].pk)
    assert act.answer["text"].startswith("1 expectation of A 1: not tested.")
    assert bike_now(entry).to_judge == 0
    assert "waits to be judged" not in page("day")
    assert Judgement.objects.get().words == "A 1, cut short"
    assert "cut short" in page("timetable")


def test_not_tested_is_correctable_bike_by_bike(day, helper, tuner, page):
    """Judged again where it was tested all the same; the whole tap can be taken back."""
    clock_set(day.trackday, local(8, 30))
    for entry in (day.entries[0], day.entries[1]):
        count_all(entry, helper)
        change(entry, tuner, 10, 9, reason="pumps", expectation="one movement", read_back=True)
    clock_set(day.trackday, local(9, 25))
    do("session cut short", helper, day.trackday, session=day.sessions[1].pk)
    act = do("not tested", helper, day.trackday, session=day.sessions[1].pk)
    assert [bike_now(entry).to_judge for entry in day.entries[:2]] == [1, 0]
    expected = Expectation.objects.get(entry=day.entries[1])
    do("judgement", tuner, day.trackday, expectation=str(expected.pk), verdict="seen")
    assert expected.judgements.order_by("accepted_at").last().verdict == "seen"
    again = do("not tested", helper, day.trackday, session=day.sessions[1].pk)
    assert again.outcome == "refused"
    assert "Nothing waits for session B 1" in again.answer["text"]
    do("withdraw", helper, day.trackday, row=str(act.pk))
    assert Judgement.objects.filter(withdrawn_at=None).get().verdict == "seen"


def test_a_cancelled_session_tests_nothing_either(day, helper, tuner, page):
    """Offered until the bike has been out again."""
    entry = day.entries[0]
    count_all(entry, helper)
    change(entry, tuner, 10, 9, reason="pumps", expectation="one movement", read_back=True)
    second = day.sessions[4]
    do("session cancel", tuner, day.trackday, session=second.pk)
    assert "A 2 is cancelled: 1 change waits to be judged." in page("day")
    assert "Not tested, all its changes" in page("timetable")
    clock_set(day.trackday, local(11, 45))
    assert "A 2 is cancelled: 1 change" not in page("day")


def test_rain(day, tuner, helper, page):
    """The dry setup is kept, the wet one opened, every outing from now on is wet."""
    entry = day.entries[0]
    count_all(entry, helper)
    do("conditions", tuner, day.trackday, trackday=day.trackday.pk, track_c="24")
    clock_set(day.trackday, local(10))
    act = do("conditions", tuner, day.trackday, trackday=day.trackday.pk, wet=True)
    assert "The dry setup of 1 bike is kept." in act.answer["text"]
    assert KeptSetup.objects.get().kind == "dry"
    assert "Wet now" in page("day")
    assert "Wet setup" in page("work", day.trackday.pk, entry.pk)
    clock_set(day.trackday, local(11))
    do("conditions", tuner, day.trackday, trackday=day.trackday.pk, wet=False)
    assert set(KeptSetup.objects.values_list("kind", flat=True)) == {"dry", "wet"}


def test_late_arrival(day, helper, page):
    """Safety, pressures and count only; no sag."""
    today = day.trackday
    late = do("walk-up", helper, today, trackday=today.pk, group=day.groups[0].pk, name="Lou")
    entry = Entry.objects.get(pk=late.answer["entry"])
    asked = page("work", today.pk, entry.pk)
    assert "came late" in asked
    assert "Arrival safety" in asked
    assert "Sag, with the rider" not in asked


def test_crash(day, helper, tuner, page):
    """Held; the organiser inspects again first; the first readings of the day are void."""
    entry = day.entries[0]
    value = {"name": "pressure", "value": "31", "unit": "psi"}
    cold = [{"kind": "pressure", "end": "front", "tyre_state": "cold", "values": [value]}]
    tick("cold-pressures", helper, entry, readings=cold)
    do("reading", helper, day.trackday, entry=entry.pk, **{**cold[0], "tyre_state": "track"})
    act = do("crash", helper, day.trackday, entry=entry.pk)
    assert "1 reading of this morning is void." in act.answer["text"]
    bike = bike_now(entry)
    assert bike.state == BikeState.HELD
    assert Reading.objects.get(withdrawn_at=None).tyre_state == "track"
    assert task_now(entry, "safety").is_open
    words = "crash: organiser inspects; fork twist, bars, levers, axle"
    assert words in page("day")
    assert words in page("work", day.trackday.pk, entry.pk)
    assert "Arrival safety" in [task.item.text for task in bike.open_tasks]


def test_a_crash_that_was_none_gives_the_morning_back(day, helper, tuner):
    entry = day.entries[0]
    value = {"name": "pressure", "value": "31", "unit": "psi"}
    cold = [{"kind": "pressure", "end": "front", "tyre_state": "cold", "values": [value]}]
    tick("cold-pressures", helper, entry, readings=cold)
    act = do("crash", helper, day.trackday, entry=entry.pk, words="fell over in the bay")
    assert do("withdraw", helper, day.trackday, row=str(act.pk)).outcome == "refused"
    assert bike_now(entry).holds
    assert do("withdraw", tuner, day.trackday, row=str(act.pk)).outcome == "applied"
    assert not bike_now(entry).holds
    assert task_now(entry, "safety").state == TaskState.DONE
    assert Reading.objects.get().withdrawn_at is None


def test_rider_missing(day, helper, page, signed_in):
    """Numbers are taken without him; the rest is skipped as waiting; he can be called."""
    entry = day.entries[0]
    entry.rider.phone = "+353 1 000 0000"
    entry.rider.save()
    sag = item(day.trackday, "sag")
    do("skip", helper, day.trackday, entry=entry.pk, item=sag.pk, reason="rider is away")
    work = page("work", day.trackday.pk, entry.pk)
    assert "rider is away" in work
    assert 'href="tel:+353 1 000 0000"' in work
    assert 'href="sms:+353 1 000 0000"' in work
    waiting = task_now(day.entries[0], "words", day.sessions[0].pk)
    card = signed_in(helper).get(reverse("board:my-round"), {"task": str(waiting.id)})
    assert "is not here?" in card.content.decode()
    assert 'href="tel:+353 1 000 0000"' in card.content.decode()


def test_group_swap(day, helper, page):
    """The times move; both groups are on record."""
    entry = day.entries[0]
    act = do("group swap", helper, day.trackday, entry=entry.pk, group=day.groups[3].pk)
    assert "from group A to group D" in act.answer["text"]
    change = entry.group_changes.get()
    assert (change.from_group.letter, change.to_group.letter) == ("A", "D")
    lanes = page("day").split("D rolls 10:00", 1)[1]
    assert "2 bikes" in lanes.split("</h3>", 1)[0]


def test_no_signal(day, helper):
    """An act that comes late is applied once; the wire itself is cut in tablet/test_offline.py."""
    import uuid

    from jobs.acts.services import act_apply

    same = uuid.uuid4()
    payload = {"entry": day.entries[0].pk, "words": "leak at the left seal"}
    day.trackday.refresh_from_db()
    rows = [
        act_apply(act_id=same, kind="hold", payload=payload, by=helper, trackday=day.trackday)
        for _ in range(2)
    ]
    assert rows[0].answer == rows[1].answer
    assert len(bike_now(day.entries[0]).holds) == 1


def test_wrong_bike(day, helper, page):
    """Two alike are told apart before writing; readings move to the right one."""
    one, other = day.entries[0], day.entries[1]
    for entry in (one, other):
        entry.bike.model, entry.bike.colour = "R", "black"
        entry.bike.save()
    assert "Not to be mistaken for 2 B, black …0002" in page("work", day.trackday.pk, one.pk)
    value = {"name": "pressure", "value": "32", "unit": "psi"}
    front = {"kind": "pressure", "end": "front", "tyre_state": "cold", "values": [value]}
    tick("cold-pressures", helper, one, readings=[front])
    wrong = Reading.objects.get()
    act = do("move", helper, day.trackday, rows=[str(wrong.pk)], to=other.pk)
    assert act.outcome == "applied", act.answer
    assert Reading.objects.get(withdrawn_at=None).bike == other.bike


def test_someone_else_turned_it(day, helper, page):
    """A recount, "found at", with who and when."""
    entry = day.entries[0]
    count_all(entry, helper)
    adjuster = Adjuster.objects.filter(bike=entry.bike).first()
    found = [{"adjuster": adjuster.pk, "position": "7"}]
    do("count", helper, day.trackday, entry=entry.pk, counts=found, turned_by="a friend")
    row = Adjustment.objects.get(kind="recount")
    assert (row.to_position, row.turned_by, row.by) == (7, "a friend", helper)
    assert "a friend" in page("sheet", entry.pk)


def test_broken_adjuster(day, helper, page):
    """Unusable, and no longer asked for in a count."""
    entry = day.entries[0]
    adjuster = Adjuster.objects.filter(bike=entry.bike).first()
    act = do(
        "adjuster",
        helper,
        day.trackday,
        entry=entry.pk,
        adjuster=adjuster.pk,
        state="broken",
        words="no click felt",
    )
    assert act.outcome == "applied", act.answer
    from jobs.board.round.cards import card
    from jobs.worklist.rounds import RoundTask

    asked = card(RoundTask(task_now(entry, "count"), bike_now(entry), local(9, 45))).groups
    assert f"count-{adjuster.pk}" not in {c.name for group in asked for c in group.cells}
    assert "no click felt" in page("sheet", entry.pk)


def test_advice_only(day, page):
    """Nothing is set: only identity, words, judging and hand-over are asked."""
    day.package.advice_only = True
    day.package.save()
    codes = {task.item.code for task in bike_now(day.entries[3]).tasks}
    assert codes == {"identify", "words", "hand-over"}
    asked = page("work", day.trackday.pk, day.entries[3].pk)
    assert "The rider&#x27;s words" in asked
    assert "Clicker count" not in asked


def test_two_people_on_one_bike(day, helper, tuner, page):
    """Two ticks: done once, both kept. Two changes: the second is unplaced and shown."""
    entry = day.entries[0]
    tick("noted", helper, entry)
    again = tick("noted", tuner, entry)
    assert "both are kept" in again.answer["text"]
    assert TaskMark.objects.filter(item__code="noted").count() == 2
    count_all(entry, helper)
    assert change(entry, tuner, 10, 8).outcome == "applied"
    assert change(entry, tuner, 10, 9).outcome == "unplaced"
    assert "1 A: 1 change is not placed" in page("day")


def test_wrong_gauge_or_unit(day, helper, signed_in):
    """The unit is always shown; a wrong one is refused by name, an odd value is asked about."""
    entry = day.entries[0]
    task = task_now(entry, "cold-pressures")
    url = f"{reverse('board:my-round')}?task={task.id}"
    assert "pressure, psi" in signed_in(helper).get(url).content.decode()
    value = {"name": "pressure", "value": "2.2", "unit": "psi"}
    act = tick(
        "cold-pressures",
        helper,
        entry,
        readings=[{"kind": "pressure", "end": "front", "values": [value]}],
    )
    assert "is unusual" in act.answer["text"]


def test_did_not_go_out(day, helper, page):
    """No outing, nothing asked of it, and it goes out the next time."""
    entry = day.entries[2]
    clock_set(day.trackday, local(9, 45))
    do("did not go out", helper, day.trackday, entry=entry.pk)
    assert bike_now(entry).where.place == BikePlace.DID_NOT_GO_OUT
    assert "did not go out" in page("day")


@pytest.mark.parametrize(("track", "warmer"), [("33", "13"), ("40", "20"), ("30.5", "10.5")])
def test_a_big_temperature_change_is_one_line(day, tuner, page, track, warmer):
    """Ten degrees of track are one line of what waits, and one note behind that line."""
    Conditions.objects.bulk_create(
        Conditions(trackday=day.trackday, at=local(hour), track_c=Decimal(at), by=tuner)
        for hour, at in ((8, "20"), (9, track))
    )
    line, _summary, behind = page("day").partition('id="waits"')[2].partition("</summary>")
    warning = f"Track {warmer} °C warmer than in the morning"
    assert (line.count(warning), behind.count(warning)) == (1, 1)


def test_the_track_closes(day, tuner, page):
    """Sessions past the close are listed for a person to cancel."""
    day.trackday.closes_at = local(16, 30)
    day.trackday.save()
    assert "Past the track" in page("day")
    assert "past the close" in page("timetable")


def test_the_evening_names_what_is_loose(day, helper, tuner, page):
    entry = day.entries[0]
    do("hold", helper, day.trackday, entry=entry.pk, words="leak")
    clock_set(day.trackday, local(17, 30))
    evening = page("evening")
    assert "held: leak" in evening
    assert "Hand-over" in evening
    assert "not priced" in evening
    for one in day.entries:
        tick("last-count", helper, one)
        tick("hand-over", tuner, one)
    assert "Hand-over" not in page("evening").split("<main", 1)[1]


# What goes wrong: the tests that stand for it, and the screens it is met on.
ROWS = {
    "red flag, short session": (
        "board, timetable, sheet",
        [
            test_red_flag,
            test_not_tested_is_correctable_bike_by_bike,
            test_a_cancelled_session_tests_nothing_either,
        ],
    ),
    "rain": ("board, the bike at work, sheet", [test_rain]),
    "late arrival": ("walk-up, the bike at work", [test_late_arrival]),
    "crash": (
        "the bike at work, board",
        [test_crash, test_a_crash_that_was_none_gives_the_morning_back],
    ),
    "rider missing": ("round, the bike at work", [test_rider_missing]),
    "group swap": ("the bike at work, board", [test_group_swap]),
    "no signal": ("every form on the tablet", [test_no_signal]),
    "wrong bike, two alike": ("round, the bike at work, sheet", [test_wrong_bike]),
    "someone else turned it": ("round, sheet", [test_someone_else_turned_it]),
    "broken adjuster": ("round, sheet", [test_broken_adjuster]),
    "advice only": ("the bike at work, sheet", [test_advice_only]),
    "two people on one bike": ("round, board, sheet", [test_two_people_on_one_bike]),
    "wrong gauge or unit": ("round", [test_wrong_gauge_or_unit]),
    "temperature": ("board", [test_a_big_temperature_change_is_one_line]),
    "late at the close": ("board, timetable", [test_the_track_closes]),
    "did not go out": ("board, the bike at work", [test_did_not_go_out]),
}
