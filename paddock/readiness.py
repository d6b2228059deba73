"""Whether this place can answer: what is missing, in words. ``manage.py setup`` mends it.

Every server asks before its first page (``paddock/pages.py``), and so does the Celery worker.
The answer costs one query and no import of a migration.
"""

import hashlib
import logging
import pkgutil
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

from django.apps import apps
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.contrib.staticfiles.storage import ManifestFilesMixin
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

T = TypeVar("T")

log = logging.getLogger(__name__)

COMMAND = "python manage.py setup"
STAMP = "collected-from"  # in STATIC_ROOT: the digest of what was collected
PAUSE_S = 3.0


def missing() -> list[str]:
    """What keeps this place from answering, a sentence each. Empty: nothing."""
    return [*missing_in_database(), *missing_static()]


def in_thread(ask: Callable[[], T]) -> T:
    """What ``ask`` answers, run in a thread of its own: an event loop's thread may call this."""

    def asked() -> T:
        try:
            return ask()
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=1, thread_name_prefix="readiness") as threads:
        return threads.submit(asked).result()


def wait_for_database() -> None:
    """Return once the database is ready; until then one line in the log says what to run.

    For workers: they serve no page, and documents take their style from the sources.
    """
    said = False
    while found := in_thread(missing_in_database):
        if not said:
            log.error(in_one_line(found))
        said = True  # while it is being migrated, what is missing changes all the time
        time.sleep(PAUSE_S)


def in_one_line(found: list[str]) -> str:
    """For the log, which is read where commands are typed."""
    return f"Not ready: {' '.join(found)} Run: {COMMAND}"


def missing_in_database() -> list[str]:
    try:
        applied = set(MigrationRecorder(connection).applied_migrations())
    except DatabaseError as error:
        log.debug("the database cannot be reached", exc_info=error)
        return [_("The database cannot be reached.")]
    if _of_newer_version(applied):
        return [_("The database is of a newer version than this program.")]
    if not applied:
        return [_("The database is empty.")]
    behind = len(migrations_known() - applied)
    if behind:
        return [
            ngettext(
                "The database is of an earlier version: %(n)d step is missing.",
                "The database is of an earlier version: %(n)d steps are missing.",
                behind,
            )
            % {"n": behind}
        ]
    return []


def database_is_newer() -> bool:
    """Whether a newer version has migrated it: then this one must leave it alone."""
    return _of_newer_version(set(MigrationRecorder(connection).applied_migrations()))


def _of_newer_version(applied: set[tuple[str, str]]) -> bool:
    own = {config.label for config in apps.get_app_configs()}
    return any(app in own for app, _name in applied - migrations_known())


def migrations_known() -> set[tuple[str, str]]:
    """The migrations of this version, by app and name; none of them is imported."""
    return {
        (config.label, module.name)
        for config in apps.get_app_configs()
        for module in pkgutil.iter_modules([str(Path(config.path) / "migrations")])
        if not module.name.startswith("_")
    }


def missing_static() -> list[str]:
    if not static_is_collected():
        return []
    stamp = Path(settings.STATIC_ROOT) / STAMP
    if not stamp.is_file():
        return [_("The static files are not collected.")]
    if stamp.read_text() != static_digest():
        return [_("The static files are of another version.")]
    return []


def static_is_collected() -> bool:
    """Whether pages name collected files (production), not those of the sources.

    By the class: the storage itself reads its manifest once, when it is made.
    """
    backend = import_string(settings.STORAGES["staticfiles"]["BACKEND"])
    return issubclass(backend, ManifestFilesMixin)


def static_collect() -> None:
    """Collect them for production, and note of which version they are."""
    stamp = Path(settings.STATIC_ROOT) / STAMP
    stamp.unlink(missing_ok=True)  # until all of it is there it counts for nothing
    call_command("collectstatic", interactive=False, verbosity=0)
    stamp.write_text(static_digest())


def static_digest() -> str:
    """Changes with every static file of the sources, and where one is added or taken away."""
    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in sorted(finder.list([]), key=lambda found: str(found[0])):
            digest.update(str(name).encode())
            digest.update(Path(storage.path(name)).read_bytes())
    return digest.hexdigest()
