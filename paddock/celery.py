"""The Celery application: used only where REDIS_URL is set.

Worker and clock in one command::

    celery -A paddock worker --beat --concurrency 2
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")

app = Celery("paddock")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["jobs.outbox"])
