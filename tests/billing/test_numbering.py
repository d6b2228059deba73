"""Eight processes issue and enter payments at once, some of their transactions fail, and some
processes are killed with -9: the series of the business and that of a crew have no gap and no
duplicate, and every payment stands in the ledger once. On the database under test, SQLite or
PostgreSQL.

    make crowd ATTEMPTS=300 KILLS=20       (more of both than in the suite)
"""

import os
import subprocess
import sys
from collections import defaultdict
from functools import partial
from pathlib import Path

import pytest
from django.db.models import Sum

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Allocation, Document, DocumentLine, Payment, Series
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.ledger import free_credit
from jobs.billing.selectors.payments import balance
from jobs.billing.services.series import series_begin
from jobs.outbox.models import Job
from jobs.people.dates import business_today
from jobs.people.models import NamedCrew
from jobs.trackday.models import Trackday
from tests.days import day_build
from tests.outbox.processes import ROOT, database_url, kill, until

PROCESSES = 8
ATTEMPTS = int(os.environ.get("ATTEMPTS", "10"))
KILLS = int(os.environ.get("KILLS", "2"))
PATIENCE_S = 300 + ATTEMPTS * 10
ENDLESS = 10**6  # of a process that is to be killed while it works


def start(seed: int, folder: Path) -> subprocess.Popen:
    variables = {
        "DJANGO_SETTINGS_MODULE": "paddock.settings",
        "DATABASE_URL": database_url(),
        "DATA_DIR": str(folder),
        "PYTHONWARNINGS": "ignore",
    }
    attempts = ENDLESS if seed < KILLS else ATTEMPTS
    command = [sys.executable, "-m", "tests.billing.issuing", str(seed), str(attempts)]
    with (folder / f"{seed}.log").open("wb") as log:
        return subprocess.Popen(
            command,
            cwd=ROOT,
            env={**os.environ, **variables},
            stderr=log,
            start_new_session=True,
        )


def works(seed: int, worker: subprocess.Popen, log: Path) -> bool:
    """It has issued and it has entered payments."""
    assert worker.poll() is None, log.read_text()
    mine = DocumentLine.objects.filter(description__startswith=f"{seed}/")
    issued = mine.filter(document__number__isnull=False).count()
    return issued >= 2 and Payment.objects.filter(note=f"{seed}/").count() >= 2


def crowd(folder: Path) -> int:
    """Run all of them, killing the first KILLS while they work, each replaced by a new one.

    Returns how many worked to their end.
    """
    workers = {seed: start(seed, folder) for seed in range(PROCESSES)}
    try:
        for victim in range(KILLS):
            worker, log = workers[victim], folder / f"{victim}.log"
            until(partial(works, victim, worker, log), patience_s=PATIENCE_S)
            kill(workers.pop(victim))
            workers[PROCESSES + victim] = start(PROCESSES + victim, folder)
        for seed, worker in workers.items():
            assert worker.wait(timeout=PATIENCE_S) == 0, (folder / f"{seed}.log").read_text()
    finally:
        for worker in workers.values():
            kill(worker)
    return len(workers)


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_eight_processes_leave_no_gap_and_every_payment_in_the_ledger_once(payer, tuner, tmp_path):
    crew = NamedCrew.objects.create(name="Van 2")
    Trackday.objects.filter(pk=day_build(bikes=0).trackday.pk).update(named_crew=crew)
    series_begin(kind=DocumentKind.INVOICE, letters="V2-", crew=crew)
    finished = crowd(tmp_path)
    numbers = []
    for series in Series.objects.order_by("pk"):
        own = sorted(series.documents.filter(number__isnull=False).values_list("number", flat=True))
        assert own == list(range(1, series.next))
        assert own
        numbers += own
    assert Series.objects.count() == 2
    given_up = Document.objects.filter(number__isnull=True).count()
    assert given_up > 0
    assert len(numbers) + given_up > finished * ATTEMPTS
    files = Job.objects.filter(handler="billing.file")
    assert files.count() == 2 * len(numbers)  # a PDF and the electronic invoice, each once
    every_payment_stands_once(payer)


def every_payment_stands_once(payer) -> None:
    """Struck through: nowhere. Else its rows add up to it, and so do account and balance."""
    rows = Payment.objects.annotate(rows=Sum("allocations__amount_minor"))
    stands = dict(rows.values_list("pk", "rows"))
    payments = list(Payment.objects.all())
    assert any(one.withdrawn_at for one in payments)
    for one in payments:
        assert stands[one.pk] == (0 if one.withdrawn_at else one.signed_minor)
    shared = [one for one in payments if one.amount_minor == 300]
    assert len({one.document_id for one in shared}) == len(shared)  # entered once for each
    received = sum(one.signed_minor for one in payments if not one.withdrawn_at)
    owed = sum(one.total_minor for one in Document.objects.filter(number__isnull=False))
    assert balance(payer) == owed - received
    on_account = Allocation.objects.filter(document=None).aggregate(s=Sum("amount_minor"))["s"]
    assert free_credit(payer) == (on_account or 0) >= 0
    by_transaction: dict[str, int] = defaultdict(int)
    for line in journal(business_today(), business_today()):
        by_transaction[line.transaction] += line.debit_minor
    assert set(by_transaction.values()) == {0}
