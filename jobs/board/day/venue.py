"""The venue's corners: listed, and placed on the business's own sketch of the track."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.trackday.models import Corner, Venue
from jobs.trackday.services import corners_name, sketch_draw

from .trackday_lookup import trackday_or_404


@dataclass(frozen=True)
class Sketch:
    """What a page shows of a venue: its line as SVG points, and every corner."""

    line: str
    corners: list[Corner]

    @property
    def placed(self) -> list[Corner]:
        return [corner for corner in self.corners if corner.x is not None]


def sketch_of(venue: Venue) -> Sketch:
    line = " ".join(f"{x},{y}" for x, y in venue.sketch)
    return Sketch(line, list(venue.corners.all()))


def corners(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    sketch = sketch_of(trackday.venue)
    names = request.POST.get("names", "\n".join(c.name for c in sketch.corners))
    drawn = request.POST.get("sketch", json.dumps(trackday.venue.sketch))
    places = request.POST.get("places", json.dumps(_places(sketch.placed)))
    if request.method == "POST" and _keep(request, trackday.venue, names, drawn, places):
        return redirect("board:corners", trackday_id)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "names": names,
        "drawn": drawn,
        "laid": places,
        "sketch": sketch,
    }
    return render(request, "board/day/corners.html", context)


def _places(corners: Iterable[Corner]) -> dict[str, list[float | None]]:
    return {corner.name: [corner.x, corner.y] for corner in corners}


def _keep(request: SignedIn, venue: Venue, names: str, drawn: str, places: str) -> bool:
    try:
        with transaction.atomic():
            sketch_draw(venue=venue, points=json.loads(drawn or "[]"))
            placed = dict(json.loads(places or "{}"))
            corners_name(venue=venue, names=names.splitlines(), places=placed)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return False
    except (TypeError, ValueError, RecursionError):
        messages.error(request, _("The sketch could not be read; draw it again."))
        return False
    messages.success(request, _("Corners and sketch are kept."))
    return True
