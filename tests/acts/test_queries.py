"""What an act costs is known: its statements, savepoints included, counted literally."""

import pytest

from jobs.acts.enums import Outcome
from tests.queries import queries

from .doing import do, rebound_changed

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "payload", "statements"),
    [
        ("conditions", {"air_c": "18.5", "track_c": "27.0", "wet": False}, 10),
        ("finding", {"words": "runs wide at the exit"}, 13),
    ],
)
def test_an_act_costs_the_same_however_many_bikes(day, tuner, kind, payload, statements):
    entry = day.entries[0]
    about = {"trackday": day.trackday.pk} if kind == "conditions" else {"entry": entry.pk}
    do(kind, tuner, day.trackday, **about, **payload)
    assert counted(lambda: do(kind, tuner, day.trackday, **about, **payload)) == statements


def test_a_change_of_one_adjuster(day, tuner):
    entry = day.entries[0]
    rebound_changed(day.trackday, entry, tuner)
    adjuster = entry.bike.adjusters.get(end="rear", function="rebound")
    move = {"adjuster": adjuster.pk, "from_position": 11, "to_position": 12}
    change = {"entry": entry.pk, "moves": [move], "reason": "too slow"}
    assert counted(lambda: do("change", tuner, day.trackday, **change)) == 20


def counted(act) -> int:
    """Statements of one act, the test's own reading of the day aside."""
    with queries() as captured:
        done = act()
    assert done.outcome == Outcome.APPLIED
    return len(captured) - 1
