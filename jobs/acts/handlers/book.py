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
from jobs.setups import sentences, services
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Expectation, Finding, Order

from ..enums import Outcome
from ..registry import BY_ROW, NEVER, Answer, Context, act
from . import book_payloads as payloads
from .book_target import BookTarget, target_of, target_of_row
from .tick_contents import pace_write

ORDER_WORDS = (
    "reason", "step_reason", "second_reason", "tyre_state", "expectation", "condition",
)  # fmt: skip
CHANGE_WORDS = ("reason", "second_reason", "oil", "oil_reason", "tyre_state", "rests_on")


@act("change", payload=payloads.ChangePayload, roles=CREW, taken_back=BY_ROW)
def change(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    linked = context.act_id if len(data["moves"]) > 1 else None
    orders = _orders(context, target, data)
    finding = _finding(target, data["finding"])
    rows = [
        services.adjustment_change(
            origin=target.origin if number == 0 else target.origin.further(move["adjuster"]),
            adjuster=target.adjuster(move["adjuster"]),
            from_position=move["from_position"],
            to_position=move["to_position"],
            linked=linked,
            order=orders.get(move["adjuster"]),
            finding=finding,
            step_reason=data["step_reason"] or (_("ordered") if orders else ""),
            **{key: data[key] for key in CHANGE_WORDS},
        )
        for number, move in enumerate(data["moves"])
    ]
    _read_back(target, rows, data)
    _expect(target, rows[0], next(iter(orders.values()), None), finding, data)
    return _changed(rows)


def _expect(
    target: BookTarget,
    row: Adjustment,
    order: Order | None,
    finding: Finding | None,
    data: dict[str, Any],
) -> None:
    """Write the expectation of a change: the one given with it, else that of its order."""
    text = data.get("expectation", order.expectation if order else "")
    if not text.strip():
        return
    services.expectation_write(
        origin=target.origin.further("expectation"),
        adjustment=row,
        text=text,
        condition=data.get("condition", order.condition if order else ""),
        finding=finding or (order.finding if order else None),
    )


def _finding(target: BookTarget, finding_id: uuid.UUID | None) -> Finding | None:
    """The finding that a change was made for. Evidence is counted by finding."""
    return Finding.objects.get(pk=finding_id, bike=target.bike) if finding_id else None


def _orders(context: Context, target: BookTarget, data: dict[str, Any]) -> dict[int, Order]:
    """The orders that the change carries out, by adjuster. A helper changes only by order."""
    if data["order"] is None:
        _check_may_change_unordered(context, data)
        return {}
    named = Order.objects.get(pk=data["order"], adjuster__bike=target.bike, withdrawn_at=None)
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


def _read_back(target: BookTarget, rows: list[Adjustment], data: dict[str, Any]) -> None:
    if not data["read_back"]:
        return
    for row in rows:
        if row.state == RowState.PLACED:
            services.adjustment_read_back(
                origin=target.origin.further(f"read back {row.pk}"),
                row=row,
                position=row.to_position,
            )


def _changed(rows: list[Adjustment]) -> Answer:
    unplaced = [row for row in rows if row.state == RowState.UNPLACED]
    data = {"rows": [str(row.pk) for row in rows]}
    if unplaced:
        text = _("Kept, but not placed: %(why)s A person has to place or withdraw it.")
        return Answer(text % {"why": unplaced[0].unplaced_why}, Outcome.UNPLACED, data)
    return Answer(" ".join(sentences.adjustment(row) for row in rows), data=data)


@act("count", payload=payloads.CountPayload, roles=CREW, taken_back=BY_ROW)
def count(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    rows = []
    for number, counted in enumerate(data["counts"]):
        adjuster = target.adjuster(counted.pop("adjuster"))
        rows.append(
            services.adjustment_count(
                origin=target.origin if number == 0 else target.origin.further(adjuster.pk),
                adjuster=adjuster,
                # Legs counted together are taken back together.
                linked=context.further_id(str(adjuster.pair)) if adjuster.pair else None,
                turned_by=data["turned_by"],
                reason=data["reason"],
                **counted,
            )
        )
    one = len(rows) == 1
    text = (
        sentences.adjustment(rows[0]) if one else _("%(n)s adjusters counted.") % {"n": len(rows)}
    )
    return Answer(text, data={"rows": [str(row.pk) for row in rows]})


@act("read_back", payload=payloads.ReadBackPayload, roles=CREW, taken_back=BY_ROW)
def read_back(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    target = target_of_row(context, row)
    services.adjustment_read_back(origin=target.origin, row=row, position=data["position"])
    same = data["position"] == row.to_position
    text = _("Read back: %(position)s.") if same else _("Found at %(position)s, not as written.")
    return Answer(text % {"position": words.position(row.adjuster, data["position"])})


@act("order", payload=payloads.OrderPayload, roles=TUNER, taken_back=BY_ROW)
def order(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    linked = context.act_id if len(data["moves"]) > 1 else None
    rows = [
        services.order_write(
            origin=target.origin if number == 0 else target.origin.further(move["adjuster"]),
            adjuster=target.adjuster(move["adjuster"]),
            from_position=move["from_position"],
            to_position=move["to_position"],
            linked=linked,
            finding=_finding(target, data["finding"]),
            **{key: data[key] for key in ORDER_WORDS},
        )
        for number, move in enumerate(data["moves"])
    ]
    return Answer(_("Ordered."), data={"rows": [str(row.pk) for row in rows]})


@act("place", payload=payloads.PlacePayload, roles=CREW, taken_back=NEVER)
def place_unplaced(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    target = target_of_row(context, row)
    placed = services.adjustment_place(origin=target.origin, row=row)
    return Answer(_("Placed. %(change)s") % {"change": sentences.adjustment(placed)})


@act("expectation", payload=payloads.ExpectationPayload, roles=TUNER, taken_back=BY_ROW)
def expectation(context: Context, data: dict[str, Any]) -> Answer:
    row = Adjustment.objects.select_related("adjuster", "entry").get(pk=data["row"])
    finding = Finding.objects.get(pk=data["finding"]) if data["finding"] else None
    services.expectation_write(
        origin=target_of_row(context, row).origin,
        adjustment=row,
        text=data["text"],
        condition=data["condition"],
        finding=finding,
    )
    return Answer(_("Written: to be judged after the next outing."))


@act(
    "judgement",
    payload=payloads.JudgementPayload,
    roles=CREW,
    taken_back=BY_ROW,
    upcasters=(payloads.told_by_nobody_said,),
)
def judgement(context: Context, data: dict[str, Any]) -> Answer:
    expected = Expectation.objects.select_related("entry").get(pk=data.pop("expectation"))
    target, pace = target_of_row(context, expected), data.pop("pace")
    if pace:
        pace_write(target.origin.further("pace"), target.bike, pace)
        data["like_pace"] = pace == "same"
    judged = services.expectation_judge(origin=target.origin, expectation=expected, **data)
    return Answer(sentences.judgement(judged))
