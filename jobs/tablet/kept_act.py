"""An act as a tablet keeps it, and sends it when the server is reached.

    {"kind": "hold", "version": 1, "trackday": 7,
     "payload": {"entry": "31", "words": "fork seal wet"}}

The payload holds the values of the form by the names of its fields, a list where a name
repeats. Files are sent beside it.
"""

import json
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _

from jobs.acts.models import MOST_VERSIONS
from jobs.trackday.models import Trackday


def read(text: str) -> dict[str, Any]:
    """Raises ValidationError for what is no kept act."""
    try:
        kept = json.loads(text)
    except (ValueError, RecursionError):
        kept = None
    if not _is_kept_act(kept):
        raise ValidationError(_("What this tablet sent is not an act."))
    return dict(kept)


def _is_kept_act(kept: Any) -> bool:
    return (
        isinstance(kept, dict)
        and isinstance(kept.get("kind"), str)
        and type(kept.get("version")) is int
        and isinstance(kept.get("payload"), dict)
        and all(_is_text(value) for value in kept["payload"].values())
        and type(kept.get("trackday")) in (int, type(None))
        and 1 <= kept["version"] <= MOST_VERSIONS
    )


def _is_text(value: Any) -> bool:
    return all(isinstance(one, str) for one in (value if isinstance(value, list) else [value]))


def fields(kept: dict[str, Any]) -> MultiValueDict[str, str]:
    """The fields of the form it was entered in."""
    return MultiValueDict(
        {
            name: value if isinstance(value, list) else [value]
            for name, value in kept["payload"].items()
        }
    )


def trackday(kept: dict[str, Any]) -> Trackday | None:
    """The day of the page it was entered on."""
    return Trackday.objects.select_related("venue").filter(pk=kept["trackday"]).first()
