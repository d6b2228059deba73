"""Who does what when, kept as one free-minutes mask per person and per bike."""

from .compiled import Compiled
from .model import Assignment

Slot = tuple[int, tuple[int, ...]]


class Timetable:
    """A plan under construction: always valid, tasks are put in and taken out.

    ``start[task]`` is -1 for a task not done; ``cost`` is missed plus late.
    """

    __slots__ = (
        *("problem", "start", "crew", "crew_free", "bike_free", "lane", "cost", "open"),
        *("_crew_runs", "_bike_runs", "late"),
    )

    def __init__(self, problem: Compiled) -> None:
        count = len(problem.tasks)
        self.problem = problem
        self.start = [-1] * count
        self.crew: list[tuple[int, ...]] = [()] * count
        self.crew_free = list(problem.crew_free)
        self.bike_free = [(1 << problem.horizon) - 1] * problem.bikes
        self.lane = [[-1] * problem.horizon for _ in problem.crew_ids]
        self.open = (1 << count) - 1
        self.late = [0] * count
        self.cost = sum(problem.miss)
        self._crew_runs: list[dict[int, int]] = [{} for _ in problem.crew_ids]
        self._bike_runs: list[dict[int, int]] = [{} for _ in range(problem.bikes)]

    def place(self, task: int, start: int, crew: tuple[int, ...]) -> None:
        """Put a task in. The caller has made sure that it is free there."""
        problem = self.problem
        minutes = problem.minutes[task]
        keep = ~(((1 << minutes) - 1) << start)
        bike = problem.bike[task]
        self.bike_free[bike] &= keep
        self._bike_runs[bike] = {}
        cells = [task] * minutes
        for person in crew:
            self.crew_free[person] &= keep
            self._crew_runs[person] = {}
            self.lane[person][start : start + minutes] = cells
        self.start[task] = start
        self.crew[task] = crew
        self.open ^= 1 << task
        late = problem.cost(task, start)
        self.late[task] = late
        self.cost += late - problem.miss[task]

    def remove(self, task: int) -> None:
        """Take a task out. What it has to come before is the caller's to take out first."""
        problem = self.problem
        minutes, start = problem.minutes[task], self.start[task]
        mask = ((1 << minutes) - 1) << start
        bike = problem.bike[task]
        self.bike_free[bike] |= mask
        self._bike_runs[bike] = {}
        cells = [-1] * minutes
        for person in self.crew[task]:
            self.crew_free[person] |= mask
            self._crew_runs[person] = {}
            self.lane[person][start : start + minutes] = cells
        self.start[task] = -1
        self.open ^= 1 << task
        self.cost += problem.miss[task] - self.late[task]

    def starts(self, task: int) -> int:
        """Starts free for the bike and between what comes before and after the task."""
        problem = self.problem
        runs = self._bike_runs[problem.bike[task]].get(problem.minutes[task])
        mask = problem.allowed[task] & (self.bike_runs(task) if runs is None else runs)
        if not mask or not (problem.before[task] or problem.behind[task]):
            return mask
        return mask & self.between(task)

    def bike_runs(self, task: int) -> int:
        """Starts at which nothing else is done on the bike while the task lasts."""
        minutes, bike = self.problem.minutes[task], self.problem.bike[task]
        runs = self._bike_runs[bike].get(minutes)
        if runs is None:
            runs = self.bike_free[bike]
            for shift in self.problem.shifts[minutes]:
                runs &= runs >> shift
            self._bike_runs[bike][minutes] = runs
        return runs

    def between(self, task: int) -> int:
        """Starts after what comes before the task has ended and before what follows begins."""
        problem, start = self.problem, self.start
        if any(start[other] < 0 for other in problem.needs[task]):
            return 0
        minutes, mask = problem.minutes, -1
        for other in problem.before[task]:
            if start[other] >= 0:
                mask &= -1 << (start[other] + minutes[other])
        for other in problem.behind[task]:
            if start[other] >= 0:
                last = start[other] - minutes[task]
                mask &= (2 << last) - 1 if last >= 0 else 0
        return mask

    def crew_runs(self, person: int, minutes: int) -> int:
        """Starts at which a person is free for ``minutes``."""
        runs = self._crew_runs[person].get(minutes)
        if runs is None:
            runs = self.crew_free[person]
            for shift in self.problem.shifts[minutes]:
                runs &= runs >> shift
            self._crew_runs[person][minutes] = runs
        return runs

    def crew_starts(self, task: int) -> int:
        """Starts at which enough able people are free, whatever the bike does."""
        problem, known = self.problem, self._crew_runs
        need, minutes = problem.people[task], problem.minutes[task]
        if need == 1:  # nearly every task: worth its own lines in the innermost loop
            anyone = 0
            for person in problem.able[task]:
                runs = known[person].get(minutes)
                anyone |= self.crew_runs(person, minutes) if runs is None else runs
            return anyone
        at_least = [0] * need
        for person in problem.able[task]:
            runs = self.crew_runs(person, minutes)
            for k in range(need - 1, 0, -1):
                at_least[k] |= at_least[k - 1] & runs
            at_least[0] |= runs
        return at_least[-1]

    def free_crew(self, task: int, start: int) -> tuple[int, ...]:
        """The first able people who are free then, fewest skills first; () if too few."""
        need, minutes = self.problem.people[task], self.problem.minutes[task]
        found = []
        for person in self.problem.able[task]:
            if self.crew_runs(person, minutes) >> start & 1:
                found.append(person)
                if len(found) == need:
                    return tuple(found)
        return ()

    def slots(self) -> list[Slot]:
        """A snapshot, for ``restore``."""
        return list(zip(self.start, self.crew, strict=True))

    def restore(self, slots: list[Slot]) -> None:
        """Go back to a snapshot, touching only what differs."""
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
        """What is done, in the order of starts, in the problem's own ids and minutes."""
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
