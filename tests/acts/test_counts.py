"""A count through the act door: what the answer says of one adjuster and of several."""

import pytest

from jobs.garage.enums import Unit
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment
from tests.acts.doing import do
from tests.setups.writing import fork_legs, stands_at

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("label", ["50%", "%s", "100 %(n)s", "{0}"])
def test_a_position_label_may_hold_any_sign(day, helper, label):
    entry = day.entries[0]
    mode = Adjuster.objects.filter(bike=entry.bike).first()
    mode.unit, mode.labels, mode.lowest, mode.highest = Unit.LABEL, ["soft", label], 0, 1
    mode.save()
    counts = [{"adjuster": mode.pk, "position": "1"}]
    act = do("count", helper, day.trackday, entry=entry.pk, counts=counts, reason="5 %d")
    assert act.outcome == "applied", act.answer
    assert label in act.answer["text"]


def test_several_counted_at_once_are_told_by_their_number(day, helper):
    entry = day.entries[0]
    adjusters = Adjuster.objects.filter(bike=entry.bike)
    counts = [{"adjuster": adjuster.pk, "position": "10"} for adjuster in adjusters]
    act = do("count", helper, day.trackday, entry=entry.pk, counts=counts)
    assert act.answer["text"] == "4 adjusters counted."
    assert Adjustment.objects.count() == 4


def test_legs_counted_together_are_taken_back_together(day, helper):
    entry = day.entries[0]
    legs = fork_legs(entry)
    counts = [{"adjuster": leg.pk, "position": "6"} for leg in legs]
    act = do("count", helper, day.trackday, entry=entry.pk, counts=counts)
    assert [stands_at(leg) for leg in legs] == [6, 6]
    back = do("withdraw", helper, day.trackday, row=str(act.pk))
    assert back.outcome == "applied", back.answer
    assert [stands_at(leg) for leg in legs] == [None, None]
