"""A venue's corners as the business names them, and its own sketch of the track."""

from collections.abc import Mapping, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from ..models import Corner, Venue

LONGEST_NAME = 60
MOST_POINTS = 200


Point = Sequence[float]


@transaction.atomic
def corners_name(
    *, venue: Venue, names: Sequence[str], places: Mapping[str, Point] | None = None
) -> list[Corner]:
    """The corners in the order they are ridden; words said of them earlier keep theirs.

    ``places`` says where a corner lies on the sketch, by its name; one that is not in it
    is only named.
    """
    wanted = [name.strip() for name in names if name.strip()]
    for name in wanted:
        if len(name) > LONGEST_NAME:
            raise ValidationError(_("“%(name)s” is too long for a corner.") % {"name": name})
        if wanted.count(name) > 1:
            raise ValidationError(_("“%(name)s” is there twice.") % {"name": name})
    placed = {name: on_sketch(point) for name, point in (places or {}).items() if name in wanted}
    venue.corners.all().delete()
    return Corner.objects.bulk_create(
        Corner(venue=venue, order=order, name=name, x=x, y=y)
        for order, name in enumerate(wanted, 1)
        for x, y in [placed.get(name, (None, None))]
    )


def on_sketch(point: Point) -> tuple[float, float]:
    """A point of the sheet, to a tenth. Raises ValidationError when it lies outside."""
    if len(point) != 2 or not all(0 <= value <= 100 for value in point):
        raise ValidationError(_("A point of the sketch lies outside the sheet."))
    return round(point[0], 1), round(point[1], 1)


def sketch_draw(*, venue: Venue, points: Sequence[Sequence[float]]) -> Venue:
    """The line of the track as tapped, each point 0 to 100 of the sheet's width and height."""
    if len(points) > MOST_POINTS:
        raise ValidationError(_("A sketch has at most %(n)d points.") % {"n": MOST_POINTS})
    venue.sketch = [list(on_sketch(point)) for point in points]
    venue.save(update_fields=["sketch"])
    return venue
