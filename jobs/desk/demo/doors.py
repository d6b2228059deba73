"""The demo in one tap: its people and its moments, offered where one signs in.

Only with DEMO=1, and only on a database that holds the demo or nothing: a place of real work
has no such doors whatever DEMO says.
"""

import logging
import threading
from dataclasses import dataclass

from django.conf import settings
from django.core.management.base import CommandError
from django.db import connection

from jobs.people.enums import Role
from jobs.people.models import Customer, User
from jobs.people.selectors import business_get
from jobs.people.services import customer_user
from jobs.people.setup_code import tuner_exists

from .business import fixture
from .play import MOMENTS, demo_fresh, is_demo

log = logging.getLogger(__name__)

CUSTOMER = "customer"


@dataclass(frozen=True)
class Door:
    """Somebody to enter as: ``who`` is sent back."""

    who: str
    name: str
    role: str

    @property
    def job(self) -> str:
        """The role, as the reader's language calls it."""
        return str(Role(self.role).label)


def are_there() -> bool:
    """Whether this place may be entered without a password at all."""
    if not settings.DEMO:
        return False
    return is_demo() or not (business_get().name or tuner_exists())


def people() -> list[Door]:
    """The demo's crew and one customer; empty until a moment is loaded."""
    crew = {one["username"] for one in fixture("people.json")["crew"]}
    users = User.objects.filter(username__in=crew, is_active=True).order_by("pk")
    doors = [Door(user.username, user.display_name, user.role) for user in users]
    customer = _customer()
    return [*doors, Door(CUSTOMER, customer.name, CUSTOMER)] if customer else doors


def user_behind(who: str) -> User | None:
    """The user a door signs in as; None where there is no such door."""
    if who not in {door.who for door in people()}:
        return None
    if who == CUSTOMER:
        customer = _customer()
        return customer_user(customer=customer) if customer else None
    return User.objects.get(username=who)


def _customer() -> Customer | None:
    return Customer.objects.filter(bikes__entries__isnull=False).order_by("pk").first()


class Loading:
    """A moment that is being loaded, by a thread of this process: one at a time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.moment = ""
        self.done = self.steps = 0
        self.fault = ""

    @property
    def percent(self) -> int:
        return 100 * self.done // self.steps if self.steps else 0

    def start(self, moment: str) -> bool:
        """False where one is being loaded already."""
        if moment not in MOMENTS or not self._lock.acquire(blocking=False):
            return False
        self.moment, self.done, self.steps, self.fault = moment, 0, 0, ""
        threading.Thread(target=self._load, name="demo", daemon=True).start()
        return True

    def _load(self) -> None:
        try:
            demo_fresh(moment=self.moment, progress=self._count)
        except CommandError as refused:
            self.fault = str(refused)
        except Exception:
            log.exception("The demo could not be loaded")
            self.fault = "The demo could not be loaded; the log says why."
        finally:
            connection.close()
            self.moment = ""
            self._lock.release()

    def _count(self, done: int, steps: int) -> None:
        self.done, self.steps = done, steps


loading = Loading()
