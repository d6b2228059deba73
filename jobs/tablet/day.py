"""The trackday a tablet works on, and the pages it keeps for use without network."""

from typing import Any

from django.urls import NoReverseMatch, reverse

from jobs.trackday.models import CrewDay, Trackday
from jobs.trackday.selectors import entries_coming


def day_named(day: Trackday | None) -> dict[str, Any] | None:
    return {"id": day.pk, "name": day.name, "revision": day.revision} if day else None


def pages_of(day: Trackday | None) -> dict[str, Any]:
    """The day's board, everybody's round, pit-in cards and every bike's sheet, in the order to
    fetch them; then what a bike is worked on with: its tasks, its photos, its count; then the
    manuals.

    ``tags`` says where the address on each bike's tag leads on this day.
    """
    if day is None:
        return {"trackday": None, "pages": [], "tags": {}}
    crew = CrewDay.objects.filter(trackday=day).values_list("user_id", flat=True)
    bikes = dict(entries_coming(day).order_by("pk").values_list("pk", "bike_id"))
    found = [_address("board:today"), _address("board:my-round"), _address("board:find")]
    for user_id in crew:
        found += [_address(f"board:{name}", day.pk, user_id) for name in ("pit-in", "round")]
    found += [_address("board:sheet", entry_id) for entry_id in bikes]
    for entry_id in bikes:
        found += [_address("board:work", day.pk, entry_id)]
        found += [_address(f"board:sheet-{name}", entry_id) for name in ("photos", "baseline")]
    found += [_address(f"manual:{job}") for job in ("helper", "tuner", "office", "customer")]
    tags = {_address("board:tag", bike): _address("board:sheet", n) for n, bike in bikes.items()}
    return {"trackday": day.pk, "pages": [page for page in found if page], "tags": tags}


def _address(name: str, *arguments: int) -> str:
    """Empty for a page this installation does not have."""
    try:
        return reverse(name, args=arguments)
    except NoReverseMatch:
        return ""
