"""Trackdays made up at random, for the bench and the tests.

The costs are the product's defaults (common practice, no source): a safety task
outweighs any setup task; a read that fades is worth having but never worth a check.
"""

import random
from dataclasses import dataclass

from .model import CrewMember, Day, Id, Task, Window

CREWS = {10: (1, 1), 20: (1, 2), 40: (2, 3), 60: (2, 3)}

HELPER, TUNER = "helper", "tuner"


@dataclass(frozen=True, slots=True)
class Rule:
    """What a kind of task takes and costs."""

    minutes: int
    miss_cost: int
    skill: str = HELPER
    people: int = 1
    late_cost: int = 0


RULES = {
    "arrival safety": Rule(5, 200),
    "identify": Rule(3, 40),
    "cold pressures": Rule(2, 80),
    "clicker baseline": Rule(4, 80),
    "sag": Rule(8, 60, people=2),
    "hot reads": Rule(2, 60),
    "ring read": Rule(2, 30),
    "hot re-check": Rule(3, 90, TUNER),
    "follow-up": Rule(6, 100, TUNER),
    "pre-grid check": Rule(2, 150),
    "hand-over": Rule(6, 90, TUNER, late_cost=2),
}


@dataclass(frozen=True, slots=True)
class Bike:
    """One made-up entry: when it arrives, when it is out, what was booked."""

    number: int
    arrival: int
    outings: tuple[Window, ...]
    follow_ups: frozenset[int]
    changed: frozenset[int]
    weight: float


def random_day(bikes: int, seed: int, *, crew: tuple[int, int] | None = None) -> Day:
    """A day of ``bikes`` bikes in three or four groups, with (tuners, helpers) people."""
    rng = random.Random(f"{bikes}/{seed}")  # noqa: S311 (a made-up day, no secret)
    tuners, helpers = crew or _crew(bikes)
    timetable = _timetable(rng)
    tasks: list[Task] = []
    for number in range(1, bikes + 1):
        tasks += bike_tasks(_bike(rng, number, timetable[number % len(timetable)]))
    return Day(_people(rng, tuners, helpers), tuple(tasks))


def _crew(bikes: int) -> tuple[int, int]:
    return CREWS[min(CREWS, key=lambda size: abs(size - bikes))]


def _people(rng: random.Random, tuners: int, helpers: int) -> tuple[CrewMember, ...]:
    """Lunches staggered by half an hour; the last helper of three leaves at 16:00."""
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


def _bike(rng: random.Random, number: int, outings: tuple[Window, ...]) -> Bike:
    latest = outings[0][0] - 25
    arrival = min(latest, 420 + rng.randrange(0, 75))
    follow_ups = rng.choice((1, 2, 2, 3, 4))
    between = range(len(outings) - 1)
    chosen = frozenset(rng.sample(between, min(follow_ups, len(between))))
    return Bike(
        number=number,
        arrival=arrival,
        outings=outings,
        follow_ups=chosen,
        changed=frozenset(i + 1 for i in chosen if rng.random() < 0.7),
        weight=rng.choice((1.0, 1.0, 1.2, 1.4)),
    )


def bike_tasks(bike: Bike) -> list[Task]:
    """Every task of one bike's day, with windows as the product's defaults have them."""
    first_roll, last_stop = bike.outings[0][0], bike.outings[-1][1] + 2
    tasks = _arrival(bike, first_roll)
    for i, (roll, end) in enumerate(bike.outings):
        stop = end + 2
        tasks += _reads(bike, i, stop)
        if i in bike.follow_ups and i + 1 < len(bike.outings):
            window = (stop + 1, bike.outings[i + 1][0] - 7)
            tasks.append(_task(bike, "follow-up", i, (window,), after=("hot reads",)))
        followed = i - 1 in bike.follow_ups and i > 0
        after = (f"{bike.number}.follow-up.{i - 1}",) if followed else ()
        tasks.append(_task(bike, "pre-grid check", i, ((roll - 15, roll - 5),), ids=after))
    tasks.append(_task(bike, "hand-over", None, ((last_stop, last_stop + 75),), due=last_stop + 45))
    known = {task.id for task in tasks}
    return [_only_known(task, known) for task in tasks]


def _arrival(bike: Bike, roll: int) -> list[Task]:
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
    usable = tuple(w for w in gaps if w[1] - w[0] >= RULES["sag"].minutes)
    return [*tasks, _task(bike, "sag", None, usable)] if usable else tasks


def _reads(bike: Bike, i: int, stop: int) -> list[Task]:
    hot = RULES["hot reads"].minutes
    tasks = [
        _task(bike, "hot reads", i, ((stop, stop + 2 + hot),)),
        _task(bike, "ring read", i, ((stop, stop + 10),)),
    ]
    if i in bike.changed:
        tasks.append(_task(bike, "hot re-check", i, ((stop, stop + 5),)))
    return tasks


def _task(
    bike: Bike,
    kind: str,
    outing: int | None,
    windows: tuple[Window, ...],
    *,
    after: tuple[str, ...] = (),
    ids: tuple[Id, ...] = (),
    due: int | None = None,
) -> Task:
    rule = RULES[kind]
    suffix = "" if outing is None else f".{outing}"
    weight = bike.weight if kind not in ("arrival safety", "pre-grid check") else 1.0
    return Task(
        id=f"{bike.number}.{kind}{suffix}",
        bike=bike.number,
        kind=kind,
        minutes=rule.minutes,
        people=rule.people,
        skill=rule.skill,
        windows=windows,
        due=due,
        miss_cost=round(rule.miss_cost * weight),
        late_cost_per_min=rule.late_cost if due is not None else 0,
        after=(*ids, *(f"{bike.number}.{each}{suffix}" for each in after)),
        place=bike.number,
    )


def _only_known(task: Task, known: set[Id]) -> Task:
    """Drop waits for tasks this bike does not have."""
    return Task(
        **{name: getattr(task, name) for name in Task.__slots__ if name != "after"},
        after=tuple(other for other in task.after if other in known),
    )
