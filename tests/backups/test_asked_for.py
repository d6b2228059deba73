"""A backup each night, by a button, in the evening; what the desk says of them."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import time_machine
from django.urls import reverse

from jobs.acts.models import Act
from jobs.backups import services, tasks
from jobs.backups.models import Backup
from jobs.backups.selectors import backup_state
from jobs.outbox import worker
from jobs.outbox.daily import OnceADay
from jobs.outbox.models import Job
from jobs.outbox.queues import Queue
from jobs.outbox.registry import QUEUES, SCHEDULED
from jobs.people.enums import EditVerb
from jobs.people.models import Business, Customer
from jobs.people.services import edit_note
from jobs.trackday.models import Trackday
from tests.days import day_build
from tests.queries import page_queries

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def folder(settings, tmp_path) -> Path:
    settings.BACKUP_DIR = tmp_path / "backups"
    return settings.BACKUP_DIR


@pytest.fixture(autouse=True)
def never_looked(monkeypatch):
    monkeypatch.setattr(services, "_nightly", OnceADay(services.MAKE))


def asked_at(moment: str) -> int:
    services._nightly = OnceADay(services.MAKE)
    with time_machine.travel(moment, tick=False):
        services.nightly_ask()
    return Job.objects.count()


def test_one_is_asked_for_each_night_from_the_businesss_own_hour_on(settings):
    """New York is five hours behind in winter: its three o'clock is 08:00 UTC."""
    settings.BACKUP_HOUR = 3
    Business.objects.create(name="B", timezone="America/New_York")
    assert asked_at("2026-01-10T07:59:00+00:00") == 0
    assert asked_at("2026-01-10T08:00:00+00:00") == 1
    assert asked_at("2026-01-10T16:00:00+00:00") == 1
    assert asked_at("2026-01-11T04:59:00+00:00") == 1
    assert asked_at("2026-01-11T12:00:00+00:00") == 2  # it was off at three


def test_off_asks_for_none(settings):
    settings.BACKUP_HOUR = None
    assert asked_at("2026-01-10T12:00:00+00:00") == 0


def test_every_sweep_looks_at_the_clock_and_the_database_is_asked_once_a_minute(
    settings, django_assert_num_queries
):
    settings.BACKUP_HOUR = 3
    assert services.nightly_ask in SCHEDULED
    with time_machine.travel("2026-01-10T12:00:00+00:00", tick=False):
        services.nightly_ask()
        with django_assert_num_queries(0):
            services.nightly_ask()


def test_what_fails_to_ask_stops_nothing_else(monkeypatch, caplog):
    asked = []

    def fails() -> None:
        raise RuntimeError("no clock")

    monkeypatch.setattr(worker, "SCHEDULED", [fails, lambda: asked.append(1)])
    worker.ask_for_scheduled()
    assert asked == [1]
    assert "Scheduled work could not be asked for" in caplog.text


def test_the_button_has_one_made_and_the_page_says_so(folder, signed_in, office):
    desk = signed_in(office)
    assert "There is no backup yet." in desk.get(reverse("desk:home")).content.decode()
    answer = desk.post(reverse("desk:backup-now"))
    assert answer.url == reverse("desk:backups")
    assert "is being made" in desk.get(reverse("desk:backups")).content.decode()
    desk.post(reverse("desk:backup-now"))
    assert Job.objects.count() == 1  # asked for twice, made once
    worker.drain()
    [made] = Backup.objects.all()
    assert (folder / made.file).is_file()
    part = desk.get(reverse("desk:backups"), headers={"HX-Request": "true"}).content.decode()
    assert "The last good backup is" in part
    assert "hx-get" not in part


def test_a_try_that_fails_is_said_once_and_not_repeated(folder, signed_in, office):
    folder.write_text("a file stands where the folder should be")
    services.backup_ask()
    worker.drain()
    [failed] = Backup.objects.all()
    assert Job.objects.get().done_at is not None
    page = signed_in(office).get(reverse("desk:home")).content.decode()
    assert "The newest try failed:" in page
    assert failed.fault in page.replace("&#x27;", "'")


def line(desk) -> str:
    return " ".join(desk.get(reverse("desk:home")).content.decode().split())


def test_one_of_a_place_without_customers_does_not_quiet_the_desk_once_there_are_some(
    folder, signed_in, office
):
    desk = signed_in(office)
    Customer.objects.all().delete()
    services.backup_make()
    assert "It holds no customer: none is entered yet." in line(desk)
    assert backup_state().warn is False
    Customer.objects.create(name="Ada Quist")
    assert backup_state().warn is True
    assert "before the first customer was entered, so it holds no work." in line(desk)
    services.backup_make()
    assert (backup_state().warn, Backup.objects.first().customers) == (False, 1)
    assert "holds no" not in line(desk)


def test_the_page_says_when_each_was_made_by_the_businesss_clock(signed_in, office):
    Business.objects.update(timezone="America/New_York")
    Backup.objects.create(at=datetime(2026, 1, 10, 2, 30, tzinfo=UTC), file="one")
    assert "2026-01-09 21:30" in signed_in(office).get(reverse("desk:backups")).content.decode()


def test_what_came_after_the_last_one_is_said_not_to_be_in_it(folder, signed_in, office, tuner):
    day = day_build(bikes=1)
    desk, said = signed_in(office), "What was entered since then is not in it."
    services.backup_make()
    assert said not in line(desk)
    edit_note(by=tuner, verb=EditVerb.CHANGED, what="venue", title="Ballymoor")
    assert said in line(desk)
    services.backup_make()
    assert said not in line(desk)
    now = datetime.now(UTC)
    Trackday.objects.update(date=now.date())
    Act.objects.create(
        kind="note", payload={}, trackday=day.trackday, by=tuner, done_at=now, received_at=now
    )
    assert said in line(desk)


def test_backups_wait_behind_no_other_work():
    assert QUEUES[tasks.MAKE] == Queue.BACKUPS
    assert [name for name, queue in QUEUES.items() if queue == Queue.BACKUPS] == [tasks.MAKE]


@pytest.mark.parametrize(("passphrase", "status"), [("", 404), ("long and said to nobody", 200)])
def test_only_an_encrypted_one_may_be_downloaded_and_by_a_tuner_only(
    folder, settings, signed_in, tuner, office, passphrase, status
):
    settings.BACKUP_PASSPHRASE = passphrase
    services.backup_make()
    address = reverse("desk:backup-download", args=[Backup.objects.get().pk])
    assert signed_in(office).get(address).status_code == 403
    answer = signed_in(tuner).get(address)
    assert answer.status_code == status
    assert (address in signed_in(tuner).get(reverse("desk:backups")).content.decode()) == bool(
        passphrase
    )
    if status == 200:
        assert len(b"".join(answer.streaming_content)) == Backup.objects.get().size


def test_a_name_in_the_table_opens_no_other_file(folder, signed_in, tuner):
    (folder.parent / "secret.tar").write_text("x")
    row = Backup.objects.create(file="../secret.tar")
    address = reverse("desk:backup-download", args=[row.pk])
    assert signed_in(tuner).get(address).status_code == 404


def test_the_evening_offers_one_until_the_days_work_is_in_it(folder, signed_in, helper):
    day = day_build(bikes=1)
    Trackday.objects.update(clock_anchor=None, clock_set_at=None)  # its clock is the real one
    address = reverse("board:evening", args=[day.trackday.pk])
    ended = max(s.planned_end for s in day.sessions)
    Backup.objects.create(at=ended - timedelta(hours=9), file="this morning")
    with time_machine.travel(ended - timedelta(hours=1), tick=False):
        client = signed_in(helper)
        assert "No backup holds" not in client.get(address).content.decode()
    with time_machine.travel(ended + timedelta(hours=1), tick=False):
        client = signed_in(helper)
        assert "No backup holds" in client.get(address).content.decode()
        back = client.post(reverse("desk:backup-now"), {"next": address})
        assert back.url == address
        Backup.objects.create(at=ended + timedelta(minutes=1), file="this evening")
        assert "No backup holds" not in client.get(address).content.decode()


def test_nobody_is_sent_to_another_site(folder, signed_in, helper):
    answer = signed_in(helper).post(reverse("desk:backup-now"), {"next": "https://elsewhere.test/"})
    assert answer.url == reverse("desk:backups")


@pytest.mark.parametrize("tries", [1, 20])
def test_the_page_costs_the_same_queries_at_any_number_of_backups(signed_in, office, tries):
    for _ in range(tries):
        Backup.objects.create(file="one")
    assert page_queries(signed_in(office), reverse("desk:backups")) == 9


def test_the_state_says_when_one_is_being_made(folder):
    assert backup_state().running is False
    services.backup_ask()
    assert backup_state().running is True
