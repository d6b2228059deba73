"""A process of the product with many threads that all ask the database, for a test to watch.

``python -m tests.shared_connections THREADS`` prints one line for each command read from its
input: ``ask`` has every thread ask once, at the same time, and prints how many were answered
and how many were told that the database is away.
"""

import sys
import time
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import django

django.setup()

from django.db import OperationalError, close_old_connections  # noqa: E402

from jobs.people.models import User  # noqa: E402


def ask(together: Barrier) -> bool:
    together.wait()
    try:
        User.objects.count()
        time.sleep(0.05)  # what a page does while it holds its connection
    except OperationalError:
        return False
    finally:
        close_old_connections()
    return True


def main(threads: int) -> None:
    with ThreadPoolExecutor(threads) as pool:
        for _command in sys.stdin:
            answers = list(pool.map(ask, [Barrier(threads)] * threads))
            sys.stdout.write(f"{sum(answers)} {len(answers) - sum(answers)}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]))
