"""The setup book's acts: changes, counts, orders, and what becomes of them."""

import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.people.access import TUNER
from jobs.people.enums import CREW
from jobs.setups import saying, services
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Expectation, Finding, Order

from ..enums import Outcome
from ..registry import Answer, Context, act
from . import book_payloads as payloads
from .book_places import Place, place_of, place_of_row
from .entered import pace_write

ORDER_WORDS = (
    "reason", "step_reason", "second_reason", "tyre_state", "expectation", "condition",
)  # fmt: skip
CHANGE_WORDS = ("reason", "second_reason", "oil", "oil_reason", "tyre_state", "rests_on")


@act("change", payload=payloads.ChangePayload, roles=CREW)
def change(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    linked = context.act_id if len(data["moves"]) > 1 else None
    orders = _orders(context, place, data)
    rows = [
        services.adjustment_change(
            made=place.made if number == 0 else place.made.further(move["adjuster"]),
            adjuster=place.adjuster(move["adjuster"]),
            from_position=move["from_position"],
            to_position=move["to_position"],
            linked=linked,
            order=orders.get(move["adjuster"]),
            step_reason=data["step_reason"] or (_("ordered") if orders else ""),
            **{key: data[key] for key in CHANGE_WORDS},
        )
        for number, move in enumerate(data["moves"])
    ]
    _read_back(place, rows, data)
    _expect(place, rows[0], next(iter(orders.values()), None), data)
    return _changed(rows)


def _expect(place: Place, row: Adjustment, order: Order | None, data: dict[str, Any]) -> None:
    """What should be seen of a change: as said with it, else as said with its order."""
    text = data.get("expectation", order.expectation if order else "")
    if not text.strip():
        return
    services.expectation_write(
        made=place.made.further("expectation"),
        adjustment=row,
        text=text,
        condition=data.get("condition", order.condition if order else ""),
        finding=_finding(place, data["finding"]) or (order.finding if order else None),
    )


def _finding(place: Place, finding_id: uuid.UUID | None) -> Finding | None:
    """The finding a change was made for: what its evidence is counted under."""
    return Finding.objects.get(pk=finding_id, bike=place.bike) if finding_id else None


def _orders(context: Context, place: Place, data: dict[str, Any]) -> dict[int, Order]:
    """The orders done, by adjuster. Helpers change only by order, the tuner as he sees fit."""
    if data["order"] is None:
        _check_may_change_unordered(context, data)
        return {}
    named = Order.objects.get(pk=data["order"], adjuster__bike=place.bike, withdrawn_at=None)
    rows = Order.objects.filter(linked=named.linked) if named.linked else [named]
    orders = {row.adjuster_id: row for row in rows}
    for move in data["moves"]:
        ordered = orders.get(move["adjuster"])
        if ordered is None or ordered.to_position != move["to_position"]:
            raise ValidationError(_("That is not what the order says: ask the tuner."))
    return orders


def _check_may_change_unordered(context: Context, data: dict[str, Any]) -> None:
    if context.by.is_tuner:
        return
    ids = [move["adjuster"] for move in data["moves"]]
    others = Adjuster.objects.filter(pk__in=ids).exclude(function=Function.TYRE_PRESSURE)
    if others.exists():
        raise ValidationError(_("A helper turns an adjuster by order only: ask the tuner for one."))


def _read_back(place: Place, rows: list[Adjustment], data: dict[str, Any]) -> None:
    if not data["read_back"]:
        return
    for row in rows:
        if row.state == RowState.PLACED:
            services.adjustment_read_back(
                made=place.made.further(f"read back {row.pk}"), row=row, position=row.to_position
            )


def _changed(rows: list[Adjustment]) -> Answer:
    unplaced = [row for row in rows if row.state == RowState.UNPLACED]
    data = {"rows": [str(row.pk) for row in rows]}
    if unplaced:
        text = _("Kept, but not placed: %(why)s A person has to place or withdraw it.")
        return Answer(text % {"why": unplaced[0].unplaced_why}, Outcome.UNPLACED, data)
    return Answer(" ".join(saying.adjustment(row) for row in rows), data=data)


@act("count", payload=payloads.CountPayload, roles=CREW)
def count(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    rows = []
    for number, counted in enumerate(data["counts"]):
        adjuster = place.adjuster(counted.pop("adjuster"))
        rows.append(
            services.adjustment_count(
                made=place.made if number == 0 else place.made.further(adjuster.pk),
                adjuster=adjuster,
                # Legs counted together are taken back together.
                linked=context.further_id(str(adjuster.pair)) if adjuster.pair else None,
                turned_by=data["turned_by"],
                reason=data["reason"],
                **counted,
            )
        )
    text = saying.adjustment(rows[0]) if len(rows) == 1 else _("%(n)s adjusters counted.")
    return Answer(text % {"n": len(rows)}, data={"rows": [str(row.pk) for row in rows]})


@act("read_back", payload=payloads.ReadBackPayload, roles=CREW)
def read_back(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    place = place_of_row(context, row)
    services.adjustment_read_back(made=place.made, row=row, position=data["position"])
    same = data["position"] == row.to_position
    text = _("Read back: %(position)s.") if same else _("Found at %(position)s, not as written.")
    return Answer(text % {"position": words.position(row.adjuster, data["position"])})


@act("order", payload=payloads.OrderPayload, roles=TUNER)
def order(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    linked = context.act_id if len(data["moves"]) > 1 else None
    rows = [
        services.order_write(
            made=place.made if number == 0 else place.made.further(move["adjuster"]),
            adjuster=place.adjuster(move["adjuster"]),
            from_position=move["from_position"],
            to_position=move["to_position"],
            linked=linked,
            finding=_finding(place, data["finding"]),
            **{key: data[key] for key in ORDER_WORDS},
        )
        for number, move in enumerate(data["moves"])
    ]
    return Answer(_("Ordered."), data={"rows": [str(row.pk) for row in rows]})


@act("place", payload=payloads.PlacePayload, roles=CREW)
def place_unplaced(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    place = place_of_row(context, row)
    placed = services.adjustment_place(made=place.made, row=row)
    return Answer(_("Placed. %(change)s") % {"change": saying.adjustment(placed)})


@act("expectation", payload=payloads.ExpectationPayload, roles=TUNER)
def expectation(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    finding = Finding.objects.get(pk=data["finding"]) if data["finding"] else None
    services.expectation_write(
        made=place_of_row(context, row).made,
        adjustment=row,
        text=data["text"],
        condition=data["condition"],
        finding=finding,
    )
    return Answer(_("Written: to be judged after the next outing."))


@act("judgement", payload=payloads.JudgementPayload, roles=CREW)
def judgement(context: Context, data: dict[str, Any]) -> Answer:
    expected = Expectation.objects.select_related("entry").get(pk=data.pop("expectation"))
    place, pace = place_of_row(context, expected), data.pop("pace")
    if pace:
        pace_write(place.made.further("pace"), place.bike, pace)
        data["like_pace"] = pace == "same"
    judged = services.expectation_judge(made=place.made, expectation=expected, **data)
    return Answer(saying.judgement(judged))
