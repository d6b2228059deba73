"""The demo: loaded through the same doors, something to show at every moment, alive next week."""

import re
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.acts.enums import Outcome
from jobs.acts.models import Act
from jobs.advice.selectors import (
    advice_basis_of,
    evidence,
    ring_landed,
    settled_state_of,
    settlement_of,
)
from jobs.desk.demo.play import demo_day, demo_resume
from jobs.garage.enums import OilState
from jobs.people.models import Business, Rider, User
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Expectation, Judgement, Reading
from jobs.trackday import clock
from jobs.trackday.at_hand import trackday_at_hand
from jobs.trackday.models import BikeMove, Delay, Entry, Session, Trackday
from jobs.worklist.models import Hold, TaskMark

pytestmark = pytest.mark.django_db


def test_every_rider_can_be_called_and_nobody_answers(client, played):
    """07700 900000 to 900999 is kept free for drama (Ofcom, telephone numbers for drama use)."""
    played("midday")
    phones = Rider.objects.values_list("phone", flat=True)
    assert len(phones) == 24
    assert all(re.fullmatch(r"\+44 7700 900\d{3}", phone) for phone in phones)
    client.force_login(User.objects.filter(role="tuner")[0])
    entry = Entry.objects.select_related("rider").first()
    page = client.get(reverse("board:work", args=[entry.trackday_id, entry.pk])).content.decode()
    assert f'href="tel:{entry.rider.phone}"' in page
    assert f'href="sms:{entry.rider.phone}"' in page


def demo(*arguments):
    out = StringIO()
    call_command("demo", *arguments, stdout=out)
    return out.getvalue()


def shown(trackday):
    """What the screens can show of a day, counted."""
    judged = Judgement.objects.values("expectation")
    of_day = {"entry__trackday": trackday}
    readings = Reading.objects.filter(**of_day)
    return {
        "arrived": BikeMove.objects.filter(**of_day, move="arrived").count(),
        "done": TaskMark.objects.filter(mark="done").count(),
        "held": Hold.objects.filter(released_at=None).count(),
        "unplaced": Adjustment.objects.filter(state=RowState.UNPLACED).count(),
        "to judge": Expectation.objects.exclude(pk__in=judged).count(),
        "delays": Delay.objects.count(),
        "cold push tests": readings.filter(kind="push", oil_state=OilState.COLD).count(),
        "hot readings": readings.filter(oil_state=OilState.HOT).count(),
        "refused": Act.objects.filter(outcome=Outcome.REFUSED).count(),
    }


def test_the_morning_has_something_on_every_screen(settings):
    settings.DEMO = True
    printed = demo("--moment", "morning")
    trackday = demo_day()
    counted = [rows.filter(**of).count() for rows, of in (
        (Entry.objects, {"trackday": trackday}), (Session.objects, {"trackday": trackday}),
    )]  # fmt: skip
    assert counted == [24, 24]
    assert f"{clock.local(trackday, clock.now(trackday)):%H:%M}" == "09:14"
    found = shown(trackday)
    assert found.pop("done") > 80
    assert found == {
        "arrived": 23,
        "held": 1,
        "unplaced": 2,  # both legs
        "to judge": 1,
        "delays": 1,
        "cold push tests": 14,
        "hot readings": 16,
        "refused": 0,
    }
    assert "tuner     roan" in printed
    link = printed.split(f"Maren Voss: {settings.PUBLIC_URL}")[1].split()[0]
    phone = Client()
    assert "Open my pages" in phone.get(link).content.decode()
    assert "Tresk 1000 RS" in phone.post(link, follow=True).content.decode()


def test_it_is_started_again_next_week_and_is_still_alive(settings, tuner):
    """From the moment it was last set, and never from before what was done in it since."""
    settings.DEMO = True
    Business.objects.all().delete()
    demo("--moment", "morning")
    with time_machine.travel(timezone.now() + timedelta(days=8)):
        assert "it is 09:14 there" in demo("--if-empty")
        trackday = demo_day()
        assert trackday_at_hand() == trackday
        assert f"{clock.local(trackday, clock.now(trackday)):%H:%M}" == "09:14"
        assert clock.now(trackday).date() == trackday.date
    later = trackday.clock_anchor + timedelta(minutes=40)
    Act.objects.create(
        kind="note", payload={}, trackday=trackday, by=tuner, done_at=later,
        received_at=timezone.now(),
    )  # fmt: skip
    assert demo_resume(trackday=demo_day()) == later


def test_the_evening_ends_with_nothing_refused(played):
    trackday = played("evening")
    found = shown(trackday)
    assert (found["refused"], found["held"], found["unplaced"]) == (0, 1, 1)
    assert Judgement.objects.filter(entry__trackday=trackday).count() == 9
    assert TaskMark.objects.filter(item__code="hand-over").count() > 8
    moved = Reading.objects.filter(
        entry__bike__frame_last4="7K24", session__number=1, entry__trackday=trackday
    )
    assert moved.filter(kind="pressure", withdrawn_at=None).count() == 2


def test_the_earlier_days_and_this_one_give_the_evidence_a_person_would_write_down(played):
    """Counted by hand from fixtures/earlier_days.json and the story of the day."""
    trackday = played("evening")
    counts = {
        (e.finding, e.function, e.direction): (
            e.seen, e.partly, e.not_seen, e.not_tested, e.confounded, e.says,
        )
        for e in evidence()
    }  # fmt: skip
    none = "no evidence yet"
    assert counts == {
        ("R13", "compression", "softer"): (5, 0, 1, 0, 1, "seen 5 of 6 times"),
        ("R5", "rebound", "softer"): (5, 1, 0, 1, 0, "seen 5 of 6 times"),
        ("R9", "compression", "firmer"): (4, 0, 0, 0, 0, "seen 4 of 4 times"),
        # Three suspects on one end of one bike, over three outings: two were put back.
        ("R13", "tyre_pressure", "less"): (0, 0, 1, 0, 0, none),
        ("R13", "rebound", "softer"): (0, 0, 1, 0, 1, none),
        ("R1", "preload", "firmer"): (0, 1, 0, 0, 0, none),
        ("R3", "compression", "softer"): (0, 0, 1, 0, 0, none),
        ("R3", "tube_height", "more"): (1, 0, 0, 0, 0, none),
        ("R8", "rebound", "firmer"): (0, 0, 1, 0, 0, none),
        ("R12", "tyre_pressure", "more"): (1, 0, 0, 0, 0, none),
    }
    assert {bool(e.score) for e in evidence() if e.judged > 3} == {True}
    days = Trackday.objects.exclude(pk=trackday.pk)
    assert [str(day.venue) for day in days] == ["Fenholt Ring", "Fenholt Ring", "Marrow Heath"]
    # One bike was settled there; it is three seconds quicker now.
    entry = Entry.objects.select_related("trackday__venue", "bike", "group", "rider", "package")
    quicker = entry.get(trackday=trackday, ref="FH-04")
    state = settled_state_of(advice_basis_of(quicker, settlement=settlement_of(quicker.bike)))
    assert [one.watch for one in state.reopened] == [("wide on power", "unstable on the brakes")]


def test_no_demo_in_a_real_house(settings, business):
    settings.DEMO = True
    with pytest.raises(CommandError, match="belongs to a real business"):
        demo()
    settings.DEMO = False
    with pytest.raises(CommandError, match="DEMO=1"):
        demo()


def test_one_bike_shows_a_spring_swap_told_by_the_ring_and_landed(played):
    """The demo's own invented scenario: told at midday, ridden, and seen in the evening."""
    played("midday")
    swap = Expectation.objects.get(adjustment__adjuster__function="spring")
    assert swap.text.startswith("Ring about 1")
    assert ring_landed(swap) is None


def test_in_the_evening_the_ring_after_the_spring_swap_has_landed(played):
    played("evening")
    swap = Expectation.objects.get(adjustment__adjuster__function="spring")
    landed = ring_landed(swap)
    assert landed.sentence.endswith("Seen by the ring.")
    assert swap.adjustment.adjuster.bike.front_spring_left_n_per_mm == 9.5
