"""Eight processes issue at once, some of their transactions fail, one is killed with -9:
the series has no gap and no duplicate. On the database under test, SQLite or PostgreSQL."""

import os
import subprocess
import sys

import pytest

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Document, DocumentLine, Series
from tests.outbox.processes import ROOT, database_url, kill, until

PROCESSES = 8
ATTEMPTS = 25


def start(seed: int, folder) -> subprocess.Popen:
    variables = {
        "DJANGO_SETTINGS_MODULE": "paddock.settings",
        "DATABASE_URL": database_url(),
        "DATA_DIR": str(folder),
        "PYTHONWARNINGS": "ignore",
    }
    command = [sys.executable, "-m", "tests.billing.issuing", str(seed), str(ATTEMPTS)]
    return subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, **variables},
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


def issued_by(seed: int) -> int:
    mine = DocumentLine.objects.filter(description__startswith=f"{seed}/")
    return mine.filter(document__number__isnull=False).count()


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_no_gap_and_no_duplicate_among_eight_processes(payer, tmp_path):
    workers = [start(seed, tmp_path) for seed in range(PROCESSES)]
    try:
        until(lambda: issued_by(0) >= 3)
        kill(workers[0])
        for worker in workers[1:]:
            assert worker.wait(timeout=120) == 0, worker.stderr.read().decode()[-2000:]
    finally:
        for worker in workers:
            kill(worker)
            worker.stderr.close()
    numbers = sorted(Document.objects.filter(number__isnull=False).values_list("number", flat=True))
    assert numbers == list(range(1, len(numbers) + 1))
    assert Series.objects.get(kind=DocumentKind.INVOICE).next == len(numbers) + 1
    given_up = Document.objects.filter(number__isnull=True).count()
    assert given_up > 0
    assert len(numbers) + given_up > (PROCESSES - 1) * ATTEMPTS
