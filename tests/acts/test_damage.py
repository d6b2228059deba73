"""A damaged database is found, remembered, and nothing new is written into it."""

import sqlite3
import uuid
from contextlib import contextmanager
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from django.test import Client
from django.urls import reverse

from jobs.acts import damage
from jobs.acts.models import Act

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


def arrived(day) -> dict:
    return {"id": str(uuid.uuid4()), "kind": "arrived", "payload": {"entry": day.entries[0].pk}}


def test_no_act_is_answered_applied_while_the_database_is_damaged(day, tuner, signed_in):
    client: Client = signed_in(tuner)
    client.raise_request_exception = False
    body = {"acts": [arrived(day)]}
    damage.mark()
    answer = client.post(reverse("api:acts"), body, content_type="application/json")
    assert (answer.status_code, answer.json()["answers"]) == (503, [])
    assert "damaged" in answer.json()["error"]
    assert Act.objects.count() == 0

    damage.unmark()
    answer = client.post(reverse("api:acts"), body, content_type="application/json")
    assert answer.json()["answers"][0]["outcome"] == "applied"


def test_a_tablets_act_waits_and_the_offices_form_is_answered_by_the_page(
    day, tuner, office, signed_in
):
    damage.mark()
    desk, board = signed_in(office), signed_in(tuner)
    desk.raise_request_exception = board.raise_request_exception = False
    headers = {"X-Act-Id": str(uuid.uuid4()), "X-Act-User": tuner.username}
    act = board.post(reverse("board:do", args=[day.trackday.pk]), headers=headers)
    assert (act.status_code, act.json()["outcome"]) == (503, "waits")
    page = desk.post(reverse("desk:venue-new"), {"name": "New"})
    assert (page.status_code, b"damaged" in page.content) == (503, True)
    assert desk.get(reverse("desk:business")).status_code == 200


def test_somebody_can_still_sign_in_to_take_the_data_away(cast, stranger):
    damage.mark()
    given = {"username": "tuner", "password": "gravel-trap-7"}
    assert stranger.post(reverse("signin"), given).status_code == 302
    response = stranger.get(reverse("desk:everything"))
    assert response.status_code == 200
    for close in response._resource_closers:
        close()


@pytest.fixture
def broken(tmp_path, monkeypatch):
    """The connection reads a file of SQLite with a page in the middle overwritten."""
    file = tmp_path / "broken.sqlite3"
    with sqlite3.connect(file) as made:
        made.execute("CREATE TABLE rows (id INTEGER PRIMARY KEY, words TEXT)")
        made.executemany("INSERT INTO rows (words) VALUES (?)", [("x" * 500,)] * 400)
    made.close()
    content = bytearray(file.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 4096] = b"\xff" * 4096
    file.write_bytes(content)
    opened = sqlite3.connect(file)
    monkeypatch.setattr(connection, "vendor", "sqlite")
    monkeypatch.setattr(connection, "cursor", lambda: Cursor(opened))
    yield
    opened.close()


class Cursor:
    """A cursor that closes nothing, and whose errors are Django's."""

    def __init__(self, opened: sqlite3.Connection) -> None:
        self.cursor = opened.cursor()

    def __enter__(self):
        return self

    def __exit__(self, *_error):
        return None

    def execute(self, statement: str) -> None:
        with self.errors():
            self.cursor.execute(statement)

    def fetchall(self):
        with self.errors():
            return self.cursor.fetchall()

    @contextmanager
    def errors(self):
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise DatabaseError(str(error)) from error


def test_a_look_finds_a_damaged_page_that_nobody_read_and_marks_it_once(
    broken, monkeypatch, caplog
):
    monkeypatch.setattr(damage.LookedForDamage, "at", -damage.LOOK_EVERY_S)
    damage.look()
    damage.look()
    assert damage.is_marked()
    assert caplog.text.count("The database is damaged") == 1


def test_the_command_names_what_is_damaged_and_keeps_the_mark(broken, monkeypatch):
    monkeypatch.setattr(damage, "faults_of_every_row", list)
    with pytest.raises(CommandError, match="newest good backup"):
        call_command("check_database")
    assert damage.is_marked()


def test_the_command_lifts_the_mark_of_a_sound_database(day):
    damage.mark()
    said = StringIO()
    call_command("check_database", stdout=said)
    assert "sound" in said.getvalue()
    assert not damage.is_marked()


def test_a_disk_that_cannot_be_written_does_not_hide_the_damage(monkeypatch, settings, caplog):
    settings.DATA_DIR = settings.DATA_DIR / "gone"
    damage.mark()
    assert "could not be noted" in caplog.text
