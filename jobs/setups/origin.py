"""Who wrote a row of the book, when, and at which outing: the same for every kind of row."""

import uuid
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from jobs.people.models import User
from jobs.trackday.models import Entry, Session


@dataclass(frozen=True)
class RowOrigin:
    """``id`` is the act's, and becomes the primary key of the row it makes.

    Without an entry the row belongs to the bike outside any trackday (in winter).
    """

    id: uuid.UUID
    by: User
    done_at: datetime
    entry: Entry | None = None
    session: Session | None = None  # the outing it hangs on
    minutes_since_stop: float | None = None

    def further(self, name: object) -> "RowOrigin":
        """The same act's next row: its own id, and the same one on every retry."""
        return replace(self, id=uuid.uuid5(self.id, str(name)))

    def fields(self) -> dict[str, Any]:
        """The fields of ``BookRow``."""
        return {
            "id": self.id,
            "by": self.by,
            "done_at": self.done_at,
            "entry": self.entry,
            "session": self.session,
        }
