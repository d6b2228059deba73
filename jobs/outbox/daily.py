"""Work that is asked for once a day."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from .models import Job
from .services import job_enqueue

LOOK_EVERY = timedelta(minutes=1)


def _always() -> bool:
    return True


class OnceADay:
    """Asks for the work of one handler once a day.

    A machine that was off at that hour asks when it is started. ``ask`` is called at each sweep,
    every few seconds; it asks the database once a minute.
    """

    def __init__(self, handler: str) -> None:
        self.handler = handler
        self._looked = datetime.min.replace(tzinfo=UTC)

    def ask(
        self, *, zone: Callable[[], str], hour: int = 0, needed: Callable[[], object] = _always
    ) -> None:
        """Ask, from ``hour`` on where the clock is that of ``zone()``, if it is ``needed``."""
        now = datetime.now(UTC)
        if now - self._looked < LOOK_EVERY:
            return
        self._looked = now
        here = now.astimezone(ZoneInfo(zone()))
        key = f"{self.handler} {here.date().isoformat()}"
        if here.hour < hour or Job.objects.filter(key=key).exists():
            return
        if needed():
            job_enqueue(handler=self.handler, payload={}, key=key)
