"""Orders as tasks: a change that a tuner ordered is open from its order to the next roll."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from jobs.garage import words
from jobs.setups.models import Order

from .derive import Task, TaskInputs
from .enums import Anchor, Cadence, ItemKind, Skill, TaskState
from .models import Checklist, ChecklistItem

MINUTES = 2
BEFORE_ROLL = timedelta(minutes=7)
CHECKLIST = Checklist(code="order")


def order_tasks(
    facts: TaskInputs, orders: Iterable[Order], close: datetime, at: datetime
) -> list[Task]:
    """One task for each order; carrying it out on the bike's sheet writes the change.

    Its checklist item is made here and never stored; both legs of a pair are one task.
    """
    found: dict[object, Task] = {}
    closes = facts.where.roll - BEFORE_ROLL if facts.where.roll else close
    for order in orders:
        found.setdefault(
            order.linked or order.pk,
            Task(
                id=order.pk,
                entry=facts.entry,
                session_id=None,
                item=_item(order),
                opens=order.done_at,
                closes=closes,
                state=TaskState.OPEN if facts.where.in_paddock else TaskState.LATER,
            ),
        )
    return list(found.values())


def _item(order: Order) -> ChecklistItem:
    name = words.pair_name(order.adjuster) if order.linked else words.adjuster_name(order.adjuster)
    start = words.position_short(order.adjuster, order.from_position)
    end = words.position_short(order.adjuster, order.to_position)
    return ChecklistItem(
        checklist=CHECKLIST,
        code="order",
        text=f"{name}: {start} → {end}",
        kind=ItemKind.TICK,
        minutes=MINUTES,
        skill=Skill.HELPER,
        cadence=Cadence.FOLLOW_UP,
        opens_from=Anchor.STOP,
        closes_from=Anchor.ROLL,
        miss_cost=110,
    )
