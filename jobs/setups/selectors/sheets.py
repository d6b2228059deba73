"""Setup sheets that were handed over."""

from jobs.trackday.models import Entry

from ..models import SetupSheet


def setup_sheets_of(entry: Entry) -> list[SetupSheet]:
    """Every version of a day's sheet without its bytes, the first one first. One query."""
    return list(SetupSheet.objects.filter(entry=entry).defer("content").order_by("version"))
