"""The crew of a simulated day that says how likely its follow-ups are to be done."""

import math

from ..chances import Statement, planned_of_alike
from ..model import Assignment, Id
from ..replays import Replays, replays
from .planned_crew import PlannedCrew, PlannedMorning, rest_of_day
from .simulated_world import MUST_START
from .simulator import SimulatedDay, Slots, WorkState

MOMENTS = (0, 500, 545, 600, 660, 800, 900)  # minutes since midnight: said at the next plan
FOLLOW_UP = "follow-up"


class StatingCrew(PlannedCrew):
    """Says of each follow-up, a few times a day, how likely it is to be done."""

    def __init__(self, variation: float, morning: PlannedMorning | None = None) -> None:
        super().__init__(morning=morning)
        self.spread = math.sqrt(math.log(1 + variation**2))
        self.said: list[tuple[Id, Statement]] = []
        self.in_the_morning: Replays | None = None
        self._waiting = list(MOMENTS)

    def first_plan(self, day: SimulatedDay) -> Slots:
        self.said, self._waiting = [], list(MOMENTS)
        slots = super().first_plan(day)
        self.in_the_morning = self._say(day, slots)
        return slots

    def next_plan(self, day: SimulatedDay) -> Slots:
        slots = super().next_plan(day)
        if self._waiting and day.now >= self._waiting[0]:
            self._say(day, slots)
        return slots

    def _say(self, day: SimulatedDay, slots: Slots) -> Replays:
        while self._waiting and day.now >= self._waiting[0]:
            self._waiting.pop(0)
        rest, locked, now = rest_of_day(day)
        made = replays(
            rest,
            [Assignment(task, *slot) for task, slot in slots.items()],
            now=now,
            spread=self.spread,
            locked=locked,
            need_only_begin={task.id for task in rest.tasks if task.kind in MUST_START},
        )
        follow_ups = [
            task
            for task in rest.tasks
            if task.kind == FOLLOW_UP and day.state[task.id] is WorkState.OPEN
        ]
        alike = planned_of_alike(follow_ups, slots)
        for task in follow_ups:
            lead = max(last for _first, last in task.windows) - day.now
            planned = task.id in slots
            said = Statement(made.share([task.id]), planned, lead, alike[task.id])
            self.said.append((task.id, said))
        return made
