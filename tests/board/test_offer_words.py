"""What a better round saves, in words: few by bike and task, many by how many more of each."""

from types import SimpleNamespace

from jobs.board.day.offer import offer_of
from tests.days import local


def one(number, text, cost):
    task = SimpleNamespace(id=f"{number} {text}", item=SimpleNamespace(text=text, miss_cost=cost))
    return SimpleNamespace(entry=SimpleNamespace(number=str(number)), tasks=[task])


def said(saves, loses):
    day = SimpleNamespace(
        bikes=[one(*each) for each in (*saves, *loses)],
        at=local(9),
        trackday=SimpleNamespace(date=local(9).date(), venue=SimpleNamespace(timezone="UTC")),
    )
    names = {"saves": saves, "loses": loses}
    offer = {k: [f"{n} {text}" for n, text, _cost in v] for k, v in names.items()}
    stored = SimpleNamespace(offer={**offer, "id": "x", "moves": 3, "until": 1000, "gap": 0.031})
    found = offer_of(day, stored)
    return found.saves, found.loses, found.percent


def test_few_are_named():
    assert said([(17, "Sag: with the rider", 40)], []) == ("17 Sag", "", 4)


def test_of_many_only_the_difference_is_said():
    saves = [(n, "Ring read", 10) for n in range(1, 5)] + [(9, "Follow-up", 30)]
    loses = [(n, "Ring read", 10) for n in range(11, 14)]
    assert said(saves, loses)[:2] == ("9 Follow-up, 4 Ring read", "")
