"""Random trackdays, for the bench and the tests.

The costs are the defaults of the product (common practice, no source): a safety task costs more
than any setup task, and a hot reading never costs more than a check.
"""

import random
from dataclasses import dataclass, replace

from ..model import CrewMember, Id, PlanningDay, PlanningTask, Window

CREWS = {10: (1, 1), 20: (1, 2), 40: (2, 3), 60: (2, 3)}

HELPER, TUNER = "helper", "tuner"
DELAY_AT, DELAY = 605, 15  # minute of the day, minutes: where replanning is measured


@dataclass(frozen=True, slots=True)
class TaskKind:
    """The minutes, costs and people of a kind of task."""

    minutes: int
    miss_cost: int
    skill: str = HELPER
    people: int = 1
    late_cost: int = 0


TASK_KINDS = {
    "arrival safety": TaskKind(5, 200),
    "identify": TaskKind(3, 40),
    "cold pressures": TaskKind(2, 80),
    "clicker baseline": TaskKind(4, 80),
    "sag": TaskKind(8, 60, people=2),
    "hot reads": TaskKind(2, 60),
    "ring read": TaskKind(2, 30),
    "hot re-check": TaskKind(3, 90, TUNER),
    "follow-up": TaskKind(6, 100, TUNER),
    "pre-grid check": TaskKind(2, 150),
    "hand-over": TaskKind(6, 90, TUNER, late_cost=2),
}


@dataclass(frozen=True, slots=True)
class RandomBike:
    """One random entry: its arrival, its outings, and the outings with a follow-up or a change."""

    number: int
    arrival: int
    outings: tuple[Window, ...]
    follow_ups: frozenset[int]
    changed: frozenset[int]
    weight: float


def random_day(bikes: int, seed: int, *, crew: tuple[int, int] | None = None) -> PlanningDay:
    """A day of ``bikes`` bikes in three or four groups, with (tuners, helpers) people."""
    rng = random.Random(f"{bikes}/{seed}")  # noqa: S311 (a made-up day, no secret)
    tuners, helpers = crew or _crew(bikes)
    timetable = _timetable(rng)
    tasks: list[PlanningTask] = []
    for number in range(1, bikes + 1):
        tasks += bike_tasks(_bike(rng, number, timetable[number % len(timetable)]))
    return PlanningDay(_choose_crew(rng, tuners, helpers), tuple(tasks))


def random_late_day(bikes: int, seed: int) -> PlanningDay:
    """A day on which most bikes come 6 to 16 minutes before they roll, with a small crew.

    Arrival safety is ``first`` and may end as late as the roll; the first pre-grid check
    requires it. On some days it takes other minutes or two people, or requires that the bike is
    identified, or somebody of the crew comes late.
    """
    rng = random.Random(f"late/{bikes}/{seed}")  # noqa: S311 (a made-up day, no secret)
    people = (rng.choice((1, 1, 2)), rng.choice((0, 1, 1, 2)))
    crew = _choose_crew(rng, *(max(each, 2) for each in people) if bikes > 20 else people)
    groups = rng.choice((1, 2, 4)) if bikes <= 20 else 4
    timetable = _timetable(rng)[:groups]
    some = rng.random()
    fields: dict[str, object] = {"first": True}
    if some < 0.2 and len(crew) > 1:
        fields["people"] = 2
    elif some < 0.4:
        fields["minutes"] = rng.choice((3, 4, 7))
    if rng.random() < 0.2:
        crew = (replace(crew[0], off=(*crew[0].off, (0, timetable[0][0][0] - 5))), *crew[1:])
    tasks: list[PlanningTask] = []
    for number in range(1, bikes + 1):
        bike = _bike(rng, number, timetable[number % len(timetable)])
        roll = bike.outings[0][0]
        if rng.random() < 0.8:
            bike = replace(bike, arrival=roll - rng.randrange(6, 17))
        identified = (f"{number}.identify",) if rng.random() < 0.2 else ()
        own = bike_tasks(bike)
        possible = [task for task in own if task.people <= len(crew)]
        tasks += _with_safety_first(possible, bike, fields, identified)
    return PlanningDay(crew, tuple(tasks))


def _with_safety_first(
    tasks: list[PlanningTask], bike: RandomBike, fields: dict[str, object], required: tuple[Id, ...]
) -> list[PlanningTask]:
    """The tasks of a bike, without those that its late arrival leaves no time for."""
    safety, roll = f"{bike.number}.arrival safety", bike.outings[0][0]
    changed = [
        replace(t, windows=((bike.arrival, roll),), requires=required, **fields)  # type: ignore[arg-type]
        if t.id == safety
        else t
        for t in tasks
    ]
    kept = [t for t in changed if all(b - a >= t.minutes for a, b in t.windows)]
    known = {t.id for t in kept}
    return [
        replace(
            t,
            after=tuple(other for other in t.after if other in known),
            requires=(safety,)
            if t.id == f"{bike.number}.pre-grid check.0" and safety in known
            else tuple(other for other in t.requires if other in known),
        )
        for t in kept
    ]


def delayed(day: PlanningDay, at: int, minutes: int) -> PlanningDay:
    """The day after a delay: each end of a window at or after ``at`` is moved."""

    def moved(minute: int) -> int:
        return minute + minutes if minute >= at else minute

    return replace(
        day,
        tasks=tuple(
            replace(
                task,
                windows=tuple((moved(a), moved(b)) for a, b in task.windows),
                due=None if task.due is None else moved(task.due),
            )
            for task in day.tasks
        ),
    )


def _crew(bikes: int) -> tuple[int, int]:
    return CREWS[min(CREWS, key=lambda size: abs(size - bikes))]


def _choose_crew(rng: random.Random, tuners: int, helpers: int) -> tuple[CrewMember, ...]:
    """The crew. Lunches begin half an hour apart; the last of three helpers may leave at 16:00."""
    people = []
    for i in range(tuners + helpers):
        lunch = 705 + 30 * (i % 4)
        off = [(lunch, lunch + 30)]
        if helpers >= 3 and i == tuners + helpers - 1 and rng.random() < 0.5:
            off.append((960, 1440))
        skills = {HELPER, TUNER} if i < tuners else {HELPER}
        name = f"tuner {i + 1}" if i < tuners else f"helper {i - tuners + 1}"
        people.append(CrewMember(name, frozenset(skills), tuple(off)))
    return tuple(people)


def _timetable(rng: random.Random) -> list[tuple[Window, ...]]:
    """Per group the sessions of the day, 09:00 to 17:00 with an hour's lunch at noon."""
    groups = rng.choice((3, 4))
    length = rng.choice((15, 20)) if groups == 4 else 20
    sessions: list[list[Window]] = [[] for _ in range(groups)]
    start, turn = 540, 0
    while start + length <= 1020:
        if start < 720 < start + length or 720 <= start < 780:
            start = 780
            continue
        sessions[turn % groups].append((start, start + length))
        start, turn = start + length, turn + 1
    return [tuple(each) for each in sessions]


def _bike(rng: random.Random, number: int, outings: tuple[Window, ...]) -> RandomBike:
    latest = outings[0][0] - 25
    arrival = min(latest, 420 + rng.randrange(0, 75))
    follow_ups = rng.choice((1, 2, 2, 3, 4))
    between = range(len(outings) - 1)
    chosen = frozenset(rng.sample(between, min(follow_ups, len(between))))
    return RandomBike(
        number=number,
        arrival=arrival,
        outings=outings,
        follow_ups=chosen,
        changed=frozenset(i + 1 for i in chosen if rng.random() < 0.7),
        weight=rng.choice((1.0, 1.0, 1.2, 1.4)),
    )


def bike_tasks(bike: RandomBike) -> list[PlanningTask]:
    """Every task of one bike, with the windows of the default checklist."""
    first_roll, last_stop = bike.outings[0][0], bike.outings[-1][1] + 2
    tasks = _arrival(bike, first_roll)
    for i, (roll, end) in enumerate(bike.outings):
        stop = end + 2
        tasks += _hot_readings(bike, i, stop)
        if i in bike.follow_ups and i + 1 < len(bike.outings):
            window = (stop + 1, bike.outings[i + 1][0] - 7)
            tasks.append(_task(bike, "follow-up", i, (window,), after=("hot reads",)))
        followed = i - 1 in bike.follow_ups and i > 0
        after = (f"{bike.number}.follow-up.{i - 1}",) if followed else ()
        tasks.append(_task(bike, "pre-grid check", i, ((roll - 15, roll - 5),), ids=after))
    tasks.append(_task(bike, "hand-over", None, ((last_stop, last_stop + 75),), due=last_stop + 45))
    known = {task.id for task in tasks}
    return [_only_known(task, known) for task in tasks]


def _arrival(bike: RandomBike, roll: int) -> list[PlanningTask]:
    window = ((bike.arrival, roll - 5),)
    tasks = [
        _task(bike, "identify", None, window),
        _task(bike, "arrival safety", None, window),
        _task(bike, "cold pressures", None, window),
        _task(bike, "clicker baseline", None, window),
    ]
    gaps = [window[0]]
    if len(bike.outings) > 1:
        gaps.append((bike.outings[0][1] + 2, bike.outings[1][0] - 5))
    usable = tuple(w for w in gaps if w[1] - w[0] >= TASK_KINDS["sag"].minutes)
    return [*tasks, _task(bike, "sag", None, usable)] if usable else tasks


def _hot_readings(bike: RandomBike, i: int, stop: int) -> list[PlanningTask]:
    hot = TASK_KINDS["hot reads"].minutes
    tasks = [
        _task(bike, "hot reads", i, ((stop, stop + 2 + hot),)),
        _task(bike, "ring read", i, ((stop, stop + 10),)),
    ]
    if i in bike.changed:
        tasks.append(_task(bike, "hot re-check", i, ((stop, stop + 5),)))
    return tasks


def _task(
    bike: RandomBike,
    kind: str,
    outing: int | None,
    windows: tuple[Window, ...],
    *,
    after: tuple[str, ...] = (),
    ids: tuple[Id, ...] = (),
    due: int | None = None,
) -> PlanningTask:
    defaults = TASK_KINDS[kind]
    suffix = "" if outing is None else f".{outing}"
    weight = bike.weight if kind not in ("arrival safety", "pre-grid check") else 1.0
    return PlanningTask(
        id=f"{bike.number}.{kind}{suffix}",
        bike=bike.number,
        kind=kind,
        minutes=defaults.minutes,
        people=defaults.people,
        skill=defaults.skill,
        windows=windows,
        due=due,
        miss_cost=round(defaults.miss_cost * weight),
        late_cost_per_min=defaults.late_cost if due is not None else 0,
        after=(*ids, *(f"{bike.number}.{each}{suffix}" for each in after)),
        place=bike.number,
    )


def _only_known(task: PlanningTask, known: set[Id]) -> PlanningTask:
    """The task without predecessors that this bike does not have."""
    return PlanningTask(
        **{name: getattr(task, name) for name in PlanningTask.__slots__ if name != "after"},
        after=tuple(other for other in task.after if other in known),
    )
