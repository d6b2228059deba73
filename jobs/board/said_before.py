"""What a rider has said already: once said, it is tapped and not typed again."""

from jobs.setups.selectors import findings_of_entry
from jobs.trackday.models import Entry

MOST = 4


def said_before(entry: Entry) -> list[str]:
    """What the rider booked for, then their words of today, the newest first: one query."""
    today = [row.words for row in findings_of_entry(entry) if row.by_rider and row.words]
    said = [entry.complaint, *reversed(today)]
    return [words for words in dict.fromkeys(said) if words][:MOST]
