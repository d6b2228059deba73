"""The desk's page of the server: processes, waiting work, and work that was given up."""

import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.db.models.functions import Now
from django.urls import reverse

from jobs.outbox import services, signs
from jobs.outbox.enums import ProcessPart
from jobs.outbox.models import Job, ServerProcess
from tests.queries import page_queries

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _place(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def given_up(n: int = 1) -> list[Job]:
    jobs = [services.job_enqueue(handler="outbox.mail", payload={"mail": str(m)}) for m in range(n)]
    Job.objects.update(given_up_at=Now(), attempts=8, error="ConnectionError: refused")
    return jobs


def page_of(desk) -> str:
    return " ".join(desk.get(reverse("desk:server")).content.decode().split())


def test_an_empty_place_says_so_of_each_list(desk):
    page = page_of(desk)
    assert "No process has given a sign of life yet" in page
    assert "Nothing waits" in page
    assert "Nothing was given up." in page


def test_a_silent_process_and_the_oldest_waiting_work_are_shown(desk):
    ServerProcess.objects.create(
        part=ProcessPart.WORKER, host="van", pid=7, seen_at=Now() - timedelta(hours=2)
    )
    job = services.job_enqueue(handler="billing.file", payload={})
    Job.objects.filter(pk=job.pk).update(due_at=Now() - timedelta(hours=3))
    page = page_of(desk)
    assert "on van, last sign of life" in page
    assert "silent" in page
    assert "the file of a document" in page
    assert "The oldest has been due for 3 hours." in page
    assert "Deferred work is not being done." in page


def test_work_that_was_given_up_is_named_and_tried_again(desk):
    (job,) = given_up()
    assert "1 mail did not go out" in desk.get(reverse("desk:home")).content.decode()
    page = page_of(desk)
    assert "<b>a mail</b>" in page
    assert "after 8 tries" in page
    assert "ConnectionError: refused" in page
    desk.post(reverse("desk:job-again", args=[job.pk]))
    job.refresh_from_db()
    assert (job.given_up_at, job.attempts) == (None, 0)
    again = desk.post(reverse("desk:job-again", args=[uuid.uuid4()]), follow=True)
    assert "It is not given up any more." in again.content.decode()


def test_all_of_it_is_tried_again_in_one_go(desk):
    given_up(3)
    page = desk.post(reverse("desk:jobs-again"), follow=True).content.decode()
    assert "3 pieces are tried again." in page
    assert Job.objects.filter(given_up_at=None).count() == 3


@pytest.mark.parametrize("n", [1, 3, 40])
def test_the_page_costs_the_same_queries_at_any_length(desk, n):
    signs._signed.clear()
    signs.sign(ProcessPart.WORK)
    given_up(n)
    # PostgreSQL is also asked for its clock and whether it can be written.
    expected = {"sqlite": 12, "postgresql": 14}[connection.vendor]
    assert page_queries(desk, reverse("desk:server")) == expected
