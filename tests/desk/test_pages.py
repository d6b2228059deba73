"""The office's pages: what they write, what they refuse, what they cost."""

import re
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.html import strip_tags

from jobs.people.models import Customer, Edit, User
from jobs.trackday.models import Entry, Session, Trackday, Venue
from jobs.trackday.services import delay_add, lunch_set
from tests.days import day_build, local
from tests.queries import page_queries

ENTRIES = "group,name,number,make,model,package\nA,Di,7,Corvane,650 R,full-day\n"


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_a_trackday_costs_the_same_queries_at_any_size(desk, bikes):
    day = day_build(bikes=bikes).trackday
    assert page_queries(desk, reverse("desk:trackday", args=[day.pk])) == 7


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_customers_cost_the_same_queries_at_any_size(desk, bikes):
    day_build(bikes=bikes)
    assert page_queries(desk, reverse("desk:customers")) == 6


@pytest.mark.parametrize("days", [1, 3])
def test_the_list_of_days_costs_the_same_queries_at_any_size(desk, days):
    for _ in range(days):
        day_build(bikes=1)
    assert page_queries(desk, reverse("desk:trackdays")) == 6


def test_the_desk_says_the_same_expected_times_as_the_board_lunch_and_delays_counted(
    desk, signed_in, tuner
):
    """Lunch, which may be 20 minutes shorter, takes up a morning's delay of 15."""
    trackday = day_build(bikes=1).trackday
    lunch_set(trackday=trackday, start=local(12), end=local(13), least_minutes=40)
    delay_add(delay_id=uuid4(), trackday=trackday, minutes=15, by=tuner, at=local(8))
    trackday.refresh_from_db()

    def times(page) -> str:
        return "".join(strip_tags(page.content.decode()).split())

    desks = times(desk.get(reverse("desk:trackday", args=[trackday.pk])))
    boards = times(signed_in(tuner).get(reverse("board:timetable", args=[trackday.pk])))

    assert "A311:4011:55–12:1315minlate" in desks
    assert "A311:55–12:13planned11:40" in boards
    assert "A413:0013:00–13:18planned" in desks
    assert "A413:00–13:18" in boards


def seen_in(page):
    return re.search(r'name="seen" value="([0-9a-f]{64})"', page.content.decode())[1]


def test_a_file_is_previewed_then_written_by_the_same_text(desk):
    day = day_build(bikes=0).trackday
    url = reverse("desk:import-entries", args=[day.pk])
    file = SimpleUploadedFile("entries.csv", ENTRIES.encode("utf-8-sig"))
    shown = desk.post(url, {"file": file})
    assert "1 new, 0 changed, 0 as they are" in shown.content.decode()
    assert Entry.objects.count() == 0
    written = desk.post(url, {"text": ENTRIES, "seen": seen_in(shown)})
    assert written.url == reverse("desk:trackday", args=[day.pk])
    assert Entry.objects.get().number == "7"
    edit = Edit.objects.get()
    assert (edit.what, edit.verb, edit.changes["new"]) == ("entries", "imported", 1)


def test_nothing_is_written_when_the_day_has_changed_since_the_preview(desk):
    day = day_build(bikes=0).trackday
    url = reverse("desk:import-entries", args=[day.pk])
    shown = desk.post(url, {"text": ENTRIES})
    day.groups.filter(letter="A").update(letter="Z")
    again = desk.post(url, {"text": ENTRIES.replace("A,", "Z,"), "seen": seen_in(shown)})
    assert "This is not what you saw before" in again.content.decode()
    assert Entry.objects.count() == 0


def test_a_bad_file_is_answered_line_by_line(desk):
    day = day_build(bikes=0).trackday
    url = reverse("desk:import-entries", args=[day.pk])
    page = desk.post(url, {"text": ENTRIES + "Q,,8,X,Y,gold\n"}).content.decode()
    assert "2 things stand in the way" in page
    assert "There is no run group “Q” on this day." in page
    assert 'name="seen"' not in page


def test_no_file_is_said(desk):
    day = day_build(bikes=0).trackday
    page = desk.post(reverse("desk:import-timetable", args=[day.pk]), {}).content.decode()
    assert "Choose a file, or paste its rows." in page


def test_a_day_is_entered_with_its_times_at_the_venue(desk, business):
    venue = Venue.objects.create(name="Harrow Fen", timezone="Europe/Dublin")
    form = {
        "venue": venue.pk, "name": "Open day", "date": "2026-06-13", "lunch_least_minutes": 30,
        "lunch_start": "12:30", "lunch_end": "13:15", "closes": "17:00",
    }  # fmt: skip
    desk.post(reverse("desk:trackday-new"), form)
    day = Trackday.objects.get()
    assert (day.lunch_from, day.closes_at) == (local(12, 30), local(17))
    desk.post(reverse("desk:trackday-edit", args=[day.pk]), {**form, "closes": "17:30"})
    day.refresh_from_db()
    assert day.closes_at == local(17, 30)
    assert Edit.objects.filter(what="trackday").values_list("verb", flat=True)[0] == "changed"


def test_a_session_typed_by_hand_makes_its_group_and_refuses_an_overlap(desk):
    day = day_build(bikes=0).trackday
    url = reverse("desk:session-new", args=[day.pk])
    desk.post(url, {"letter": "E", "start": "18:00", "end": "18:20"})
    session = Session.objects.get(group__letter="E")
    assert (session.number, session.planned_start) == (1, local(18))
    page = desk.post(url, {"letter": "e", "start": "18:10", "end": "18:30"}).content.decode()
    assert "This overlaps with E 1 of the same group." in page


def test_a_session_that_ran_keeps_its_plan(desk):
    day = day_build(bikes=0)
    session = day.sessions[0]
    Session.objects.filter(pk=session.pk).update(actual_start=local(9))
    desk.post(
        reverse("desk:session-edit", args=[session.pk]),
        {"letter": "A", "start": "10:00", "end": "10:05"},
    )
    session.refresh_from_db()
    assert session.planned_start == local(9)


def typed(**cells):
    return {"group": "A", "name": "Di", "make": "Corvane", "model": "650 R", **cells}


def test_an_entry_typed_by_hand_is_read_as_a_files_row_would_be(desk):
    day = day_build(bikes=0).trackday
    url = reverse("desk:entry-new", args=[day.pk])
    page = desk.post(url, typed(package="full-day", weight_kg="82,5 stone")).content.decode()
    assert "is not a weight in kg" in page
    desk.post(url, typed(package="full-day", weight_kg="82,5"))
    assert str(Entry.objects.get().rider.weight_in_kit_kg) == "82.5"
    page = desk.post(url, typed(package="full-day")).content.decode()
    assert "already entered for this day" in page


def test_an_entry_is_edited_with_its_bike_and_rider_in_one_form(desk):
    entry = day_build(bikes=1).entries[0]
    url = reverse("desk:entry-edit", args=[entry.pk])
    form = {
        "entry-group": entry.group_id, "entry-number": "99", "entry-package": entry.package_id,
        "entry-payer": entry.payer_id, "entry-bay": "12",
        "bike-make": "Corrib", "bike-model": "R1", "bike-frame_last4": "0001",
        "rider-name": "Customer 1",
    }  # fmt: skip
    desk.post(url, form)
    entry.refresh_from_db()
    assert (entry.number, entry.bay) == ("99", "12")
    changes = Edit.objects.get(what="entry").changes
    assert changes == {"number": ["1", "99"], "bay": ["1", "12"]}
    page = desk.post(url, {**form, "bike-make": "", "rider-name": ""}).content.decode()
    assert page.count("This field is required.") == 2


def test_a_customer_is_found_by_any_of_his_words(desk):
    day_build(bikes=3)
    page = desk.get(reverse("desk:customers"), {"words": "corrib 0002"}).content.decode()
    assert re.findall(r">(Customer \d)<", page) == ["Customer 2"]
    page = desk.get(reverse("desk:customers"), {"words": "nobody"}).content.decode()
    assert "Nobody is found for “nobody”." in page


def test_what_was_searched_for_stays_on_the_next_page(desk, monkeypatch):
    monkeypatch.setattr("jobs.desk.views.customers.CUSTOMERS_ON_A_PAGE", 2)
    day_build(bikes=5)
    page = desk.get(reverse("desk:customers"), {"words": "corrib"}).content.decode()
    assert re.findall(r">(Customer \d)<", page) == ["Customer 1", "Customer 2"]
    (link,) = re.findall(r'class="btn"\s+href="(\?[^"]+)"', page)
    assert link == "?words=corrib&amp;page=2"
    page = desk.get(reverse("desk:customers") + link.replace("&amp;", "&")).content.decode()
    assert re.findall(r">(Customer \d)<", page) == ["Customer 3", "Customer 4"]
    assert "Page 2 of 3" in page


def test_a_new_crew_member_needs_a_password_that_holds(signed_in, tuner):
    tuner_desk = signed_in(tuner)
    form = {"first_name": "Nia", "username": "nia", "role": "helper", "is_active": "on"}
    page = tuner_desk.post(reverse("desk:crew-new"), form).content.decode()
    assert "Somebody new needs a password." in page
    page = tuner_desk.post(reverse("desk:crew-new"), {**form, "password": "12345"}).content.decode()
    assert "too short" in page
    tuner_desk.post(reverse("desk:crew-new"), {**form, "password": "gravel-trap-7"})
    assert User.objects.get(username="nia").check_password("gravel-trap-7")


def test_customers_are_not_crew(signed_in, tuner, customer_a):
    tuner_desk = signed_in(tuner)
    assert tuner_desk.get(reverse("desk:crew-edit", args=[customer_a.pk])).status_code == 404


@pytest.mark.parametrize("name", ["home", "customers", "devices", "mails", "edits"])
def test_an_empty_list_says_what_to_do_next(desk, name):
    Customer.objects.all().delete()
    assert 'class="empty"' in desk.get(reverse(f"desk:{name}")).content.decode()
