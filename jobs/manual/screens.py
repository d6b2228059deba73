"""Which paragraph a screen leads to. The words: ``texts``."""

from django.urls import reverse

from jobs.people.access import may_open

from .paragraphs import Manual
from .texts import customer, helper, office, tuner

# The first name of each is its job, which is also the name of its view and the end of its address.
MANUALS: dict[str, Manual] = {
    "helper": helper.MANUAL,
    "tuner": tuner.MANUAL,
    "office": office.MANUAL,
    "customer": customer.MANUAL,
}

PLACES: dict[str, tuple[str, str]] = {
    screen: (job, paragraph.name)
    for job, manual in MANUALS.items()
    for paragraph in manual.paragraphs
    for screen in paragraph.screens
}


def help_url(*, view_name: str, role: str | None) -> str:
    """The address of the paragraph of a view. Where there is none that ``role`` may read, the
    reader's own manual."""
    job, paragraph = PLACES.get(view_name, ("home", ""))
    if not paragraph or not may_open(role=role, view_name=f"manual:{job}"):
        return reverse("manual:home")
    return f"{reverse(f'manual:{job}')}#{paragraph}"
