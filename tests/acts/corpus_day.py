"""The day on which recorded acts are played again, and the names of its rows.

In the recorded examples a row of the day is named in braces, such as ``{entry 1}`` or
``{session A2}``; rows that acts write have the act's own id, which is made of its name.
"""

import io
import re
import uuid
from typing import Any

from PIL import Image

from jobs.garage.enums import End, Firming, Function, Leg
from jobs.garage.models import Adjuster, Bike, Gauge
from jobs.people.models import Business
from jobs.trackday.models import BikeMove, CrewDay, Trackday
from jobs.tuning.terms import TravelPlace
from jobs.worklist.models import ChecklistItem
from jobs.worklist.planned.offer import OF_THE_PLAN
from jobs.worklist.selectors import day_read
from jobs.worklist.services.plans import plan_refresh
from tests.days import Day, local

NAMESPACE = uuid.UUID("5f0b8f0e-2f3f-4c53-9a0e-6a2b1f1d7c11")
PAIR = uuid.UUID("0d0a1f5e-7d0e-4c58-8a51-0f6b0a6f2a01")
NAME = re.compile(r"\{([^{}]+)\}")


def act_id(name: str) -> uuid.UUID:
    """The id of the act of that name in the examples."""
    return uuid.uuid5(NAMESPACE, name)


def picture() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(file, "JPEG")
    return file.getvalue()


def corpus_day_complete(day: Day, cast: Any) -> None:
    """What the examples need beside a day with checklists: crew, pressures, a pair of legs."""
    for user in (cast.tuner, cast.helper):
        CrewDay.objects.create(trackday=day.trackday, user=user)
    Gauge.objects.create(name="Blue", quantity="pressure", unit="psi")
    bike = day.entries[0].bike
    for end in (End.FRONT, End.REAR):
        Adjuster.objects.create(
            bike=bike, end=end, leg=Leg.BOTH, function=Function.TYRE_PRESSURE, unit="psi",
            step="0.1", lowest=15, highest=60, firming=Firming.UP, range_counted=True,
        )  # fmt: skip
    for leg in (Leg.LEFT, Leg.RIGHT):
        Adjuster.objects.create(
            bike=bike, end=End.FRONT, leg=leg, function=Function.PRELOAD, highest=20,
            firming=Firming.UP, range_counted=True, pair=PAIR,
        )  # fmt: skip


def usable_travel_enter(day: Day) -> None:
    """Three quarters of it, 90 mm, is what a settled bike uses; at the rear read at the wheel."""
    Business.objects.update_or_create(pk=1, defaults={"rear_travel_place": TravelPlace.WHEEL})
    Bike.objects.filter(pk=day.entries[0].bike_id).update(
        front_usable_travel_mm=120, rear_usable_travel_mm=120
    )


def better_round_offer(day: Day) -> None:
    """The plan in force is offered again, as the better one that a worker would have found.

    Only work on bikes that have come is planned.
    """
    crew = day.trackday.crew.select_related("user").first()
    for entry in day.entries:
        BikeMove.objects.create(entry=entry, move="arrived", at=local(8), by=crew.user)
    trackday = Trackday.objects.select_related("venue").get(pk=day.trackday.pk)
    stored = plan_refresh(day=day_read(trackday))
    assert stored is not None
    stored.offer = {
        "id": "better", "plan": {name: getattr(stored, name) for name in OF_THE_PLAN},
        "saves": [], "loses": [], "moves": 1, "until": 24 * 60, "gap": None,
    }  # fmt: skip
    stored.save(update_fields=["offer"])


GIVEN = {
    "usable travel of 120 mm": usable_travel_enter,
    "a better round on offer": better_round_offer,
}


def names_of(day: Day, cast: Any) -> dict[str, int]:
    """Every name an example may use, and the id of its row."""
    names = {"trackday": day.trackday.pk, "package": day.package.pk}
    names |= {f"user {who}": getattr(cast, who).pk for who in ("tuner", "helper")}
    names |= {f"group {group.letter}": group.pk for group in day.groups}
    names |= {f"session {s.group.letter}{s.number}": s.pk for s in day.sessions}
    names |= {f"member {one.user.username}": one.pk for one in day.trackday.crew.all()}
    names |= {f"gauge {gauge.name}": gauge.pk for gauge in Gauge.objects.all()}
    names |= {f"item {item.code}": item.pk for item in ChecklistItem.objects.all()}
    for number, entry in enumerate(day.entries, 1):
        names |= {f"entry {number}": entry.pk, f"bike {number}": entry.bike_id}
        names |= {f"rider {number}": entry.rider_id}
        for adjuster in Adjuster.objects.filter(bike=entry.bike_id):
            words = f"{number} {adjuster.end} {adjuster.leg} {adjuster.function}"
            names[f"adjuster {words}"] = adjuster.pk
    return names


def named(value: Any, names: dict[str, int]) -> Any:
    """An example with its names replaced by ids, as text."""
    if isinstance(value, dict):
        return {named(key, names): named(one, names) for key, one in value.items()}
    if isinstance(value, list):
        return [named(one, names) for one in value]
    if isinstance(value, str):
        return NAME.sub(lambda found: _id(found[1], names), value)
    return value


def _id(name: str, names: dict[str, int]) -> str:
    if not name.startswith("act "):
        return str(names[name])
    act, _slash, further = name.removeprefix("act ").partition("/")
    return str(uuid.uuid5(act_id(act), further) if further else act_id(act))
