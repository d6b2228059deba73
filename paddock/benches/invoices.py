"""A day's invoices issued in one go and their PDFs made, the pages answering all the while.

The floor: as many bare documents set by the same PDF library, one after the other.
"""

import threading
import time
from argparse import ArgumentParser
from collections.abc import Callable
from http import HTTPStatus
from statistics import median
from typing import Any

from django.db import connection
from django.test import Client
from django.urls import reverse

from jobs.billing.models import Document, DocumentFile
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.loading import prices_load
from jobs.outbox import embedded
from jobs.outbox.selectors import jobs_waiting
from jobs.paper.documents import pdf_make
from jobs.people.models import Business, Customer

from .bench_days import bench_database, bench_day

PRICES = {
    "rates": [
        {
            "code": "standard",
            "name": "VAT",
            "percent": "23",
            "category": "S",
            "valid_from": "2020-01-01",
        }
    ],
    "items": [
        {
            "code": "full-day",
            "name": "Full day",
            "kind": "package",
            "package": "full-day",
            "price": "240",
        }
    ],
}
BARE = "<html><body><h1>Invoice</h1><p>Full day 240.00</p></body></html>"


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--bikes", type=int, default=60, help="customers with one bike each")


def run(say: Callable[[str], None], *, bikes: int, **options: Any) -> None:
    with bench_database():
        day = bench_day(bikes=bikes)
        Business.objects.update(
            street="1 Quay", city="Ballyreen", country="IE", tax_id="IE0000001X", iban=""
        )
        Customer.objects.update(street="2 Quay", city="Ballyreen")
        prices_load(data=PRICES)
        floor = _timed(lambda: [pdf_make(html=BARE) for _ in range(bikes)])
        result = None

        def issue() -> None:
            nonlocal result
            result = day_invoices_issue(trackday=day.trackday, by=day.tuner, mail=False)

        issued = _timed(issue)
        assert result is not None
        if len(result.invoices) != bikes:
            raise RuntimeError(f"{len(result.invoices)} of {bikes} issued: {result.left_out[:1]}")
        browser = Client(SERVER_NAME="127.0.0.1")
        browser.force_login(day.tuner)
        alone = median(_timed(lambda: _answer(browser)) for _ in range(9))
        made, answers = _made_while_answering(browser)
    say(
        f"{connection.vendor}: {bikes} invoices issued in {issued:.1f} s, "
        f"{made.count} files in {made.seconds:.1f} s more"
    )
    say(f"{bikes} bare PDFs: {floor:.1f} s, ratio {(issued + made.seconds) / floor:.1f}")
    say(
        f"meanwhile {len(answers)} pages answered, median {median(answers) / alone:.1f} times "
        f"and slowest {max(answers) / alone:.1f} times what one takes alone"
    )


def _answer(browser: Client) -> None:
    """A page that reads every document of the day."""
    answer = browser.get(reverse("money:journal"))
    if answer.status_code != HTTPStatus.OK:
        raise RuntimeError(f"the journal answered {answer.status_code}")


class IssuedAndPrinted:
    def __init__(self) -> None:
        self.count, self.seconds = 0, 0.0


def _made_while_answering(browser: Client) -> tuple[IssuedAndPrinted, list[float]]:
    """The outbox in its own thread, as in the one-process installation; pages in this one."""
    made, answers = IssuedAndPrinted(), []
    begin = time.perf_counter()
    worker = threading.Thread(target=_drain, daemon=True)
    worker.start()
    while worker.is_alive():
        answers.append(_timed(lambda: _answer(browser)))
        time.sleep(0.05)
    made.seconds = time.perf_counter() - begin
    made.count = DocumentFile.objects.count()
    if made.count < Document.objects.filter(number__isnull=False).count():
        raise RuntimeError("not every document has its files")
    return made, answers


def _drain() -> None:
    try:
        while jobs_waiting().exists():
            embedded.sweep()
    finally:
        connection.close()


def _timed(work: Callable[[], Any]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
