from .models import ListFormat


def formats_of(*, kind: str) -> dict[str, dict[str, str]]:
    """Every matching kept for lists of this kind, by the headings of its list."""
    return dict(ListFormat.objects.filter(kind=kind).values_list("headings", "columns"))
