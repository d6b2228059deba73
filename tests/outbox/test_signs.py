"""Each process says that it is alive, and a process that ended is told from one that is silent."""

import os
from datetime import timedelta

import pytest
from django.db.models.functions import Now

from jobs.outbox import embedded, signs
from jobs.outbox.enums import ProcessPart
from jobs.outbox.models import ServerProcess
from jobs.outbox.tasks import sweep

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_signed(monkeypatch):
    monkeypatch.setattr(signs, "_signed", {})


def test_a_process_has_one_row_and_writes_it_once_in_half_a_minute(django_assert_num_queries):
    signs.sign(ProcessPart.PAGES)
    with django_assert_num_queries(0):
        signs.sign(ProcessPart.PAGES)
    signs.sign(ProcessPart.WORK)
    assert set(ServerProcess.objects.values_list("part", "pid")) == {
        ("pages", os.getpid()),
        ("work", os.getpid()),
    }


def test_a_later_sign_renews_the_row(monkeypatch):
    signs.sign(ProcessPart.PAGES)
    ServerProcess.objects.update(seen_at=Now() - timedelta(hours=1))
    assert [one.is_silent for one in signs.process_signs()] == [True]
    monkeypatch.setattr(signs, "_signed", {})
    signs.sign(ProcessPart.PAGES)
    assert [one.is_silent for one in signs.process_signs()] == [False]


def test_the_next_process_removes_the_rows_of_those_that_ended_on_its_machine(monkeypatch):
    signs.sign(ProcessPart.PAGES)
    own = ServerProcess.objects.get()
    ended = ServerProcess.objects.create(part=ProcessPart.PAGES, host=own.host, pid=2**22 + 7)
    elsewhere = ServerProcess.objects.create(part=ProcessPart.PAGES, host="another", pid=2**22 + 7)
    ServerProcess.objects.filter(pk=own.pk).delete()
    monkeypatch.setattr(signs, "_signed", {})
    signs.sign(ProcessPart.PAGES)
    left = set(ServerProcess.objects.values_list("pk", flat=True))
    assert ended.pk not in left
    assert elsewhere.pk in left


@pytest.mark.parametrize("swept", [embedded.sweep, sweep], ids=["embedded", "celery"])
def test_every_sweep_signs_for_deferred_work(swept, monkeypatch):
    monkeypatch.setattr(embedded, "close_old_connections", lambda: None)
    assert not signs.work_is_swept()
    swept()
    assert signs.work_is_swept()
