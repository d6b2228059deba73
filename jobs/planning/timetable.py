"""The plan while it is being built: a mask of free minutes per person and per bike."""

from .compiled import CompiledDay
from .model import Assignment

TaskSlot = tuple[int, tuple[int, ...]]  # the start (-1: missed) and the people


class CrewTimetable:
    """A valid plan into which tasks are placed and from which they are removed.

    ``start[task]`` is -1 for a missed task. ``cost`` is the cost of what is missed or late.
    ``task_at[person][minute]`` is the task, -1 for none. ``missed`` is a mask over the tasks.
    """

    __slots__ = (
        *("problem", "start", "crew", "crew_free", "bike_free", "task_at", "cost", "missed"),
        *("_person_starts", "_bike_starts", "late_cost"),
    )

    def __init__(self, problem: CompiledDay) -> None:
        count = len(problem.tasks)
        self.problem = problem
        self.start = [-1] * count
        self.crew: list[tuple[int, ...]] = [()] * count
        self.crew_free = list(problem.crew_free)
        self.bike_free = [(1 << problem.horizon) - 1] * problem.bikes
        self.task_at = [[-1] * problem.horizon for _ in problem.crew_ids]
        self.missed = (1 << count) - 1
        self.late_cost = [0] * count
        self.cost = sum(problem.miss_cost)
        self._person_starts: list[dict[int, int]] = [{} for _ in problem.crew_ids]
        self._bike_starts: list[dict[int, int]] = [{} for _ in range(problem.bikes)]

    def place(self, task: int, start: int, crew: tuple[int, ...]) -> None:
        """Add a task. The caller has checked that the bike and the people are free then."""
        problem = self.problem
        minutes = problem.minutes[task]
        free = ~(((1 << minutes) - 1) << start)
        bike = problem.bike[task]
        self.bike_free[bike] &= free
        self._bike_starts[bike] = {}
        cells = [task] * minutes
        for person in crew:
            self.crew_free[person] &= free
            self._person_starts[person] = {}
            self.task_at[person][start : start + minutes] = cells
        self.start[task] = start
        self.crew[task] = crew
        self.missed ^= 1 << task
        late = problem.cost(task, start)
        self.late_cost[task] = late
        self.cost += late - problem.miss_cost[task]

    def remove(self, task: int) -> None:
        """Remove a task. The caller has first removed every task that requires it."""
        problem = self.problem
        minutes, start = problem.minutes[task], self.start[task]
        mask = ((1 << minutes) - 1) << start
        bike = problem.bike[task]
        self.bike_free[bike] |= mask
        self._bike_starts[bike] = {}
        cells = [-1] * minutes
        for person in self.crew[task]:
            self.crew_free[person] |= mask
            self._person_starts[person] = {}
            self.task_at[person][start : start + minutes] = cells
        self.start[task] = -1
        self.missed ^= 1 << task
        self.cost += problem.miss_cost[task] - self.late_cost[task]

    def free_starts(self, task: int) -> int:
        """Starts in the windows at which the bike is free and the order of tasks is kept."""
        problem = self.problem
        runs = self._bike_starts[problem.bike[task]].get(problem.minutes[task])
        mask = problem.allowed[task] & (self.bike_starts(task) if runs is None else runs)
        if not mask or not (problem.predecessors[task] or problem.followers[task]):
            return mask
        return mask & self.precedence_starts(task)

    def bike_starts(self, task: int) -> int:
        """Starts at which the bike is free as long as the task lasts."""
        minutes, bike = self.problem.minutes[task], self.problem.bike[task]
        runs = self._bike_starts[bike].get(minutes)
        if runs is None:
            runs = self.bike_free[bike]
            for shift in self.problem.shifts[minutes]:
                runs &= runs >> shift
            self._bike_starts[bike][minutes] = runs
        return runs

    def precedence_starts(self, task: int) -> int:
        """Starts after the end of its predecessors and early enough for its followers."""
        problem, start = self.problem, self.start
        if any(start[other] < 0 for other in problem.required[task]):
            return 0
        minutes, mask = problem.minutes, -1
        for other in problem.predecessors[task]:
            if start[other] >= 0:
                mask &= -1 << (start[other] + minutes[other])
        for other in problem.followers[task]:
            if start[other] >= 0:
                last = start[other] - minutes[task]
                mask &= (2 << last) - 1 if last >= 0 else 0
        return mask

    def person_starts(self, person: int, minutes: int) -> int:
        """Starts at which a person is free for ``minutes`` minutes."""
        runs = self._person_starts[person].get(minutes)
        if runs is None:
            runs = self.crew_free[person]
            for shift in self.problem.shifts[minutes]:
                runs &= runs >> shift
            self._person_starts[person][minutes] = runs
        return runs

    def crew_starts(self, task: int) -> int:
        """Starts at which enough people with the skill are free. The bike is not looked at."""
        problem, known = self.problem, self._person_starts
        need, minutes = problem.people[task], problem.minutes[task]
        if need == 1:  # nearly every task, and the innermost loop: worth a case of its own
            anyone = 0
            for person in problem.able[task]:
                runs = known[person].get(minutes)
                anyone |= self.person_starts(person, minutes) if runs is None else runs
            return anyone
        at_least = [0] * need
        for person in problem.able[task]:
            runs = self.person_starts(person, minutes)
            for k in range(need - 1, 0, -1):
                at_least[k] |= at_least[k - 1] & runs
            at_least[0] |= runs
        return at_least[-1]

    def free_crew(self, task: int, start: int) -> tuple[int, ...]:
        """People with the skill who are free then, the least skilled first; () if too few."""
        need, minutes = self.problem.people[task], self.problem.minutes[task]
        found = []
        for person in self.problem.able[task]:
            if self.person_starts(person, minutes) >> start & 1:
                found.append(person)
                if len(found) == need:
                    return tuple(found)
        return ()

    def snapshot(self) -> list[TaskSlot]:
        """The slot of every task, for ``restore``."""
        return list(zip(self.start, self.crew, strict=True))

    def restore(self, slots: list[TaskSlot]) -> None:
        """Go back to a snapshot. Only the tasks that differ are moved."""
        now = zip(self.start, self.crew, strict=True)
        differ = [
            i
            for i, (was, slot) in enumerate(zip(now, slots, strict=True))
            if was[0] != slot[0] or (slot[0] >= 0 and was[1] != slot[1])
        ]
        for i in differ:
            if self.start[i] >= 0:
                self.remove(i)
        for i in differ:
            if slots[i][0] >= 0:
                self.place(i, *slots[i])

    def assignments(self) -> list[Assignment]:
        """What is done, in the order of starts, with the ids and minutes of the day."""
        problem = self.problem
        done = [
            Assignment(
                task.id,
                problem.base + self.start[i],
                tuple(problem.crew_ids[person] for person in self.crew[i]),
            )
            for i, task in enumerate(problem.tasks)
            if self.start[i] >= 0
        ]
        return sorted(done, key=lambda a: (a.start, str(a.task)))
