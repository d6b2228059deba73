"""What was said of a day, and what earlier days taught of such statements."""

from jobs.trackday.models import Trackday

from ..models import DayStatements


def statements_of(trackday: Trackday) -> DayStatements:
    """Those kept; where there are none, an unsaved row without experience."""
    found = DayStatements.objects.filter(trackday=trackday).first()
    return found or DayStatements(trackday=trackday)
