"""Checks of an installation that is not the demo, for ``manage.py check --deploy``."""

from typing import Any
from urllib.parse import urlparse

from django.conf import settings
from django.core import checks
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connection

from jobs.outbox import signs
from jobs.outbox.mail_server import by_environment, mail_is_set_up
from jobs.people.setup_code import tuner_exists

from . import readiness

# Two for pages, one for the live stream, a worker with two processes and its parent, the timer.
USUAL_PROCESSES = 7


@register(Tags.security, deploy=True)
def demo_is_off(**kwargs: Any) -> list[CheckMessage]:
    if not settings.DEMO:
        return []
    return [Error("DEMO is on: its clock can be set by anybody.", id="paddock.E001")]


@register(deploy=True)
def place_is_ready(**kwargs: Any) -> list[CheckMessage]:
    """The database of this version, the static files collected, somebody who can sign in."""
    found = readiness.missing()
    if found:
        return [
            Error(sentence, hint=f"Run: {readiness.COMMAND}", id="paddock.E003")
            for sentence in found
        ]
    if tuner_exists():
        return []
    return [
        checks.Info("Nobody can sign in yet.", hint=f"Run: {readiness.COMMAND}", id="paddock.I001")
    ]


@register(Tags.security, deploy=True)
def public_url_is_https(**kwargs: Any) -> list[CheckMessage]:
    """Links in mail lead there, and browsers keep work offline only on HTTPS."""
    if urlparse(settings.PUBLIC_URL).scheme == "https":
        return []
    return [
        Error(
            f"PUBLIC_URL is {settings.PUBLIC_URL}: tablets keep no work offline without HTTPS.",
            hint="Set PUBLIC_URL=https://... and HTTPS=1; in a van: make serve VAN=van.local.",
            id="paddock.E002",
        )
    ]


@register(Tags.database, deploy=True)
def connections_suffice(**kwargs: Any) -> list[CheckMessage]:
    """PostgreSQL takes as many connections as all processes seen alive may open together."""
    pool = settings.DATABASES["default"]["OPTIONS"].get("pool")
    if connection.vendor != "postgresql" or not pool or readiness.missing_in_database():
        return []
    each = pool["max_size"]
    processes = max(USUAL_PROCESSES, signs.processes_alive())
    with connection.cursor() as cursor:
        cursor.execute(
            "select current_setting('max_connections')::int"
            " - current_setting('superuser_reserved_connections')::int"
        )
        (offered,) = cursor.fetchone()
    if each * processes <= offered:
        return []
    return [
        checks.Warning(
            f"{processes} processes may open {each * processes} connections to the database,"
            f" which takes {offered}.",
            hint="Lower DATABASE_CONNECTIONS, or raise max_connections of PostgreSQL.",
            id="paddock.W002",
        )
    ]


@register(Tags.security, deploy=True)
def mail_is_sent(**kwargs: Any) -> list[CheckMessage]:
    if by_environment() or (not readiness.missing() and mail_is_set_up()):
        return []
    return [
        checks.Warning(
            "No mail server is set up: mail is kept on the desk's mail page and never sent.",
            hint="Set it there, under Mail server, or set MAIL_URL.",
            id="paddock.W001",
        )
    ]
