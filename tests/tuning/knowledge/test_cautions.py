"""Cautions beside a suggested change."""

import pytest

from jobs.tuning.knowledge.cautions import AS_LISTED, BUILD_PACE, cautions_of
from jobs.tuning.terms import AdjusterFunction


@pytest.mark.parametrize(
    ("function", "is_listed", "says"),
    [
        (AdjusterFunction.REBOUND, True, True),
        (AdjusterFunction.REBOUND, False, False),
        (AdjusterFunction.TYRE_PRESSURE, True, False),
    ],
)
def test_a_range_nobody_counted_is_said_to_be_listed(function, is_listed, says):
    """A pressure is read with a gauge: it has no end to count to. Common practice, no source."""
    found = cautions_of(function, is_listed=is_listed)
    assert (AS_LISTED in found) is says
    assert found[-1] == BUILD_PACE
