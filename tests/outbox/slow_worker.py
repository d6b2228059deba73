"""A worker of its own process with a handler slow enough to be killed in the middle.

``python -m tests.outbox.slow_worker`` sweeps as the embedded thread does;
``celery -A tests.outbox.slow_worker worker --beat`` is the Celery one. The handler says
in the file ``SLOW_LOG`` that it began, takes ``SLOW_S`` seconds, and its effect is a new
mail with an id of its own each time, so an effect applied twice would be seen.
"""

import os
import signal
import time
from functools import partial
from pathlib import Path

import django

from paddock.celery import app

django.setup()

from jobs.outbox import embedded  # noqa: E402
from jobs.outbox.models import Mail  # noqa: E402
from jobs.outbox.queues import Queue  # noqa: E402
from jobs.outbox.registry import Finish, JobInput, handler  # noqa: E402

__all__ = ["app"]


@handler("tests.slow", queue=Queue.DOCUMENTS)
def slow(job: JobInput) -> Finish:
    with Path(os.environ["SLOW_LOG"]).open("a") as log:
        log.write(f"{job.payload['name']}\n")
    time.sleep(float(os.environ["SLOW_S"]))
    return partial(Mail.objects.create, to="a@example.org", subject=job.payload["name"], text="-")


@handler("tests.plan", queue=Queue.PLANNING)
def plan(job: JobInput) -> Finish:
    return slow(job)


@handler("tests.deadly", queue=Queue.DOCUMENTS)
def deadly(job: JobInput) -> None:
    """Kill the process that does it, as one does that takes all the memory."""
    with Path(os.environ["SLOW_LOG"]).open("a") as log:
        log.write(f"{job.payload['name']}\n")
    os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    embedded.run_forever()
