"""A random case from a seed: a bike, readings, findings and changes made before.

One seed instead of a strategy per field: thousands of cases a second, so that the rare
ones (a suggestion at the very end of a range) are met, and a failing seed is its own report.
"""

from decimal import Decimal
from random import Random

from jobs.tuning.damping import PushClass
from jobs.tuning.knowledge import (
    AdjusterState,
    BikeSetup,
    ChangeDirection,
    EarlierToday,
    FittedTyre,
    LoggedFinding,
    Observations,
    PressureReading,
    PushTest,
    SagReading,
    TravelReading,
    TriedChange,
    TyreTemperatures,
    shipped,
)
from jobs.tuning.terms import AdjusterFunction, End, Firming, Leg, OilState, TyreState, Verdict

F = AdjusterFunction
FUNCTIONS = (F.REBOUND, F.COMPRESSION, F.PRELOAD, F.TUBE_HEIGHT, F.SHOCK_LENGTH, F.TYRE_PRESSURE)
UNITS = {
    F.TYRE_PRESSURE: ("psi", "kPa", "bar"),
    F.PRELOAD: ("turn", "mm", "click"),
    F.TUBE_HEIGHT: ("mm",),
    F.SHOCK_LENGTH: ("mm",),
}
STEPS = {"psi": "0.5", "kPa": "1", "bar": "0.05", "turn": "0.25", "mm": "0.5"}
TOP = {"psi": "45", "kPa": "300", "bar": "3"}
FINDINGS = list(shipped().findings.values())


def case(seed):
    """``(bike, observed, logged, past)``."""
    r = Random(seed)
    bike = _bike(r)
    rows = [r.choice(FINDINGS) for _ in range(r.randint(1, 4))]
    logged = [LoggedFinding(row, r.choice(row.ends or (None,))) for row in rows]
    return bike, _observed(r, rows), logged, _past(r, bike)


def _maybe(r, share, value):
    return value if r.random() < share else None


def _adjuster(r, end, function, leg):
    unit = r.choice(UNITS.get(function, ("click", "click", "mark", "turn", "label")))
    step = Decimal(STEPS.get(unit, "1"))
    highest = Decimal(TOP.get(unit) or r.randint(1, 30))
    count = int(highest / step)

    def place(low, high):
        return r.randint(low, high) * step

    if function == F.TYRE_PRESSURE:
        position = place(count * 6 // 10, count * 8 // 10)
    else:
        position = place(0, count) if r.random() < 0.9 else place(-2, count + 2)
    return AdjusterState(
        key=(end, function, leg),
        end=end,
        function=function,
        leg=leg,
        unit=unit,
        step=step,
        lowest=Decimal(0),
        highest=highest,
        position=_maybe(r, 0.9, position),
        arrived=_maybe(r, 0.8, place(0, count)),
        firming=r.choice(list(Firming)),
        usable=r.random() < 0.9,
        proven=r.random() < 0.2,
        moved_when=_maybe(r, 0.6, r.choice(list(OilState))),
    )


def _bike(r):
    made = []
    for end in End:
        for function in FUNCTIONS:
            split = end == End.FRONT and function in (F.REBOUND, F.COMPRESSION)
            legs = (Leg.LEFT, Leg.RIGHT) if split and r.random() < 0.5 else (Leg.BOTH,)
            made += [_adjuster(r, end, function, leg) for leg in legs if r.random() < 0.95]
    tyres = {end: _tyre(r) for end in End if r.random() < 0.9}
    return BikeSetup(tuple(made), tyres, ("held",) if r.random() < 0.1 else ())


def _tyre(r):
    bands = {
        state: (r.uniform(170, 205), r.uniform(206, 250)) for state in TyreState if r.random() < 0.9
    }
    return FittedTyre(bands, r.choice(list(TyreState)), _maybe(r, 0.3, r.random() < 0.5))


def _observed(r, rows):
    def some(share, make):
        return tuple(make(end) for end in End if r.random() < share)

    pushes = some(0.9, lambda end: _push(r, end)) + some(0.2, lambda end: _push(r, end))
    questions = [(row.code, suspect.order) for row in rows for suspect in row.suspects]
    return Observations(
        pushes=pushes,
        pressures=some(0.6, lambda end: PressureReading(end, r.uniform(160, 230), TyreState.COLD))
        + some(0.6, lambda end: _hot_pressure(r, end)),
        temperatures=some(0.4, lambda end: _temperatures(r, end)),
        sags=some(
            0.6, lambda end: SagReading(end, r.uniform(15, 50), _maybe(r, 0.7, r.uniform(0, 25)))
        ),
        travels=some(0.7, lambda end: TravelReading(end, r.uniform(40, 120), 120.0)),
        oil=_maybe(r, 0.5, r.choice(list(OilState))),
        laps=_maybe(r, 0.5, r.randint(0, 12)),
        fades=_maybe(r, 0.5, r.random() < 0.5),
        pace=_maybe(r, 0.5, r.choice(["faster", "like", "slower"])),
        wet=_maybe(r, 0.5, r.random() < 0.2),
        track_change_c=_maybe(r, 0.5, r.uniform(-20, 20)),
        preload={end: r.choice(["raised", "same", "reduced"]) for end in End if r.random() < 0.5},
        answers={question: r.random() < 0.3 for question in questions if r.random() < 0.6},
    )


def _push(r, end):
    oil = r.choice([OilState.HOT, OilState.HOT, OilState.HOT, OilState.WARM, OilState.COLD])
    seen = r.choice(list(PushClass))
    return PushTest(end, seen, oil, r.random() < 0.9, _maybe(r, 0.5, r.uniform(0.3, 4)))


def _hot_pressure(r, end):
    return PressureReading(end, r.uniform(190, 270), TyreState.TRACK, r.random() < 0.8)


def _temperatures(r, end):
    read = [_maybe(r, 0.8, r.uniform(15, 130)) for _place in range(3)]
    return TyreTemperatures(end, r.uniform(0, 5), *read)


def _past(r, bike):
    if not bike.adjusters or r.random() < 0.7:
        return EarlierToday()
    adjuster = r.choice(bike.adjusters)
    tried = TriedChange(
        end=adjuster.end,
        function=adjuster.function,
        direction=r.choice(list(ChangeDirection)),
        moves=((adjuster.key, Decimal(r.randint(-3, 40)), adjuster.position or Decimal(0)),),
        finding=r.choice(FINDINGS).code,
        verdict=_maybe(r, 0.8, r.choice(list(Verdict))),
        put_back=r.random() < 0.3,
    )
    return EarlierToday((tried,))
