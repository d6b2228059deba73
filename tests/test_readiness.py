"""What a place lacks, and how often that is said."""

import logging

import pytest
from django.db import DatabaseError

from jobs.outbox import embedded
from paddock import readiness

EMPTY = "The database is empty."


def test_every_migration_is_known_without_importing_it():
    """Against Django's own loader, which imports them."""
    from django.db.migrations.loader import MigrationLoader

    assert readiness.migrations_known() == set(MigrationLoader(None).disk_migrations)


@pytest.mark.django_db
def test_a_migrated_place_lacks_nothing():
    assert readiness.missing() == []


def applied(monkeypatch, rows):
    monkeypatch.setattr(
        readiness.MigrationRecorder, "applied_migrations", lambda _self: dict.fromkeys(rows)
    )


def test_a_database_of_another_version_is_said_with_how_far_it_is(monkeypatch):
    known = readiness.migrations_known()
    for rows, said in (
        (set(), EMPTY),
        (known - {max(known)}, "The database is of an earlier version: 1 step is missing."),
        (known | {("people", "9999_x")}, "The database is of a newer version than this program."),
        (known | {("an_app_of_before", "0001_initial")}, None),
    ):
        applied(monkeypatch, rows)
        assert readiness.missing_in_database() == ([said] if said else [])


def test_a_database_that_is_away_is_said_without_its_address(monkeypatch):
    def away(_self):
        raise DatabaseError("connection to server at db.example, user van")

    monkeypatch.setattr(readiness.MigrationRecorder, "applied_migrations", away)
    assert readiness.missing_in_database() == ["The database cannot be reached."]


def test_a_worker_waits_for_the_database_alone_and_says_once_why(monkeypatch, caplog):
    answers = [[EMPTY], [EMPTY], [EMPTY], []]
    monkeypatch.setattr(readiness, "missing_in_database", lambda: answers.pop(0))
    monkeypatch.setattr(readiness, "missing_static", lambda: ["The static files are missing."])
    monkeypatch.setattr(readiness, "in_thread", lambda ask: ask())
    monkeypatch.setattr(readiness, "PAUSE_S", 0)
    with caplog.at_level(logging.ERROR):
        readiness.wait_for_database()
    assert caplog.messages == [f"Not ready: {EMPTY} Run: python manage.py setup"]
    assert answers == []


def test_a_sweep_that_keeps_failing_is_said_once_until_it_goes_well(monkeypatch, caplog):
    failing = True

    def drain():
        if failing:
            raise DatabaseError

    monkeypatch.setattr(embedded.worker, "drain", drain)
    monkeypatch.setattr(embedded, "close_old_connections", lambda: None)
    monkeypatch.setattr(embedded.signs, "sign", lambda _part: None)
    monkeypatch.setattr(embedded.worker, "ask_for_scheduled", lambda: None)
    for failing in (True, True, True, False, True):  # noqa: B007 - read by drain
        embedded.sweep()
    assert len(caplog.records) == 2
