"""A worker of its own process with a handler slow enough to be killed in the middle.

``python -m tests.outbox.slow_worker`` sweeps as the embedded thread does;
``celery -A tests.outbox.slow_worker worker --beat`` is the Celery one. The handler says
in the file ``SLOW_LOG`` that it began, takes ``SLOW_S`` seconds, and its effect is a new
mail with an id of its own each time, so an effect applied twice would be seen.
"""

import os
import time
from functools import partial
from pathlib import Path

import django

from paddock.celery import app

django.setup()

from jobs.outbox import embedded  # noqa: E402
from jobs.outbox.models import Mail  # noqa: E402
from jobs.outbox.registry import Finish, Work, handler  # noqa: E402

__all__ = ["app"]


@handler("tests.slow")
def slow(work: Work) -> Finish:
    with Path(os.environ["SLOW_LOG"]).open("a") as log:
        log.write(f"{work.payload['name']}\n")
    time.sleep(float(os.environ["SLOW_S"]))
    return partial(Mail.objects.create, to="a@example.org", subject=work.payload["name"], text="-")


if __name__ == "__main__":
    embedded.run_forever()
