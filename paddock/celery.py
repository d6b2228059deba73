"""The Celery application: used only where REDIS_URL is set.

Everything in one command::

    celery -A paddock worker --beat --concurrency 2

or a worker for some of the queues (``jobs.outbox.queues``), and ``--beat`` at exactly one::

    celery -A paddock worker --queues planning
    celery -A paddock worker --queues sweep,mail,documents,backups,photos --beat
"""

import os
from typing import Any

from celery import Celery
from celery.signals import beat_init, worker_init, worker_ready
from django.conf import settings
from kombu.entity import Queue

from jobs.outbox import queues

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")

app = Celery("paddock")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.task_queues = [Queue(name) for name in queues.Queue]  # type: ignore[no-untyped-call]
app.conf.task_default_queue = queues.Queue.SWEEP
app.autodiscover_tasks(["jobs.outbox"])


@worker_init.connect  # type: ignore[untyped-decorator]
@beat_init.connect  # type: ignore[untyped-decorator]
def without_pool(**_kwargs: Any) -> None:
    """Each process of a worker has one thread, and is forked: what serves a pool is not."""
    database = settings.DATABASES["default"]
    if database["OPTIONS"].pop("pool", None):
        database["CONN_MAX_AGE"] = 60


@worker_init.connect  # type: ignore[untyped-decorator]
@beat_init.connect  # type: ignore[untyped-decorator]
def wait_until_ready(**_kwargs: Any) -> None:
    """Before the first task, and before the first message that asks for one."""
    from . import readiness  # needs the apps, which this module is imported before

    readiness.wait_for_database()


@worker_ready.connect  # type: ignore[untyped-decorator]
def sign_of_worker(**_kwargs: Any) -> None:
    from jobs.outbox import signs
    from jobs.outbox.enums import ProcessPart

    signs.start(ProcessPart.WORKER)


@beat_init.connect  # type: ignore[untyped-decorator]
def sign_of_timer(**_kwargs: Any) -> None:
    from jobs.outbox import signs
    from jobs.outbox.enums import ProcessPart

    signs.start(ProcessPart.TIMER)
