from .matching import Matching, headings_key
from .models import ListFormat


def format_remember(*, kind: str, matching: Matching) -> None:
    """Keep how the columns of this list were matched, for the next one with its headings."""
    columns = {column.key: column.field for column in matching.columns if column.key}
    key = headings_key(columns)
    ListFormat.objects.update_or_create(kind=kind, headings=key, defaults={"columns": columns})
