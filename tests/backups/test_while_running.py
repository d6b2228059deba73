"""A backup made while others write holds one moment: all of a transaction or nothing of it."""

import threading
from pathlib import Path

import pytest
from django.db import connection, connections, transaction

from jobs.backups import database
from jobs.backups.faults import BackupFault
from jobs.backups.making import make
from jobs.backups.selectors import backup_state
from jobs.backups.services import backup_make
from jobs.people.models import Customer


@pytest.mark.django_db(transaction=True)
def test_a_transaction_is_in_the_copy_whole_or_not_at_all(tmp_path):
    stop = threading.Event()

    def write_pairs() -> None:
        number = 0
        while not stop.is_set():
            with transaction.atomic():
                for half in ("left", "right"):
                    Customer.objects.create(name=f"{half} {number}", email=f"{half}{number}@a.org")
            number += 1
        connections.close_all()

    writer = threading.Thread(target=write_pairs)
    writer.start()
    try:
        counts = [
            database.dump(tmp_path / f"{n}-{database.file_name()}")["people_customer"]["rows"]
            for n in range(6)
        ]
    finally:
        stop.set()
        writer.join()
    assert [rows % 2 for rows in counts] == [0] * 6
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


@pytest.mark.django_db(transaction=True)
def test_a_copy_that_differs_from_what_was_written_is_no_backup(tmp_path, monkeypatch):
    Customer.objects.create(name="Ada Quist", email="ada@example.org")
    true = database.tables_of

    def one_row_less(copy: Path) -> database.Tables | None:
        found = true(copy)
        assert found is not None
        return {**found, "people_customer": {**found["people_customer"], "rows": 0}}

    monkeypatch.setattr(database, "tables_of", one_row_less)
    with pytest.raises(BackupFault, match="these tables differ: people_customer"):
        make(tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.django_db(transaction=True)
def test_the_age_of_the_last_good_one_and_a_failure_since_are_known(tmp_path, monkeypatch):
    assert (backup_state().last, backup_state().warn) == (None, True)
    made = backup_make(folder=tmp_path)
    state = backup_state()
    assert (state.last.file, state.last.size, state.warn) == (made.file.name, made.size, False)
    monkeypatch.setattr(database, "dump", lambda to: (_ for _ in ()).throw(BackupFault("full")))
    with pytest.raises(BackupFault):
        backup_make(folder=tmp_path)
    state = backup_state()
    assert (state.failed.fault, state.last.file, state.warn) == ("full", made.file.name, True)
    assert connection.vendor in database.FILES
