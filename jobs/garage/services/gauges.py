"""Instruments: unit, and what they read above the reference gauge."""

from ..models import Gauge


def gauge_save(*, gauge: Gauge) -> Gauge:
    """Save a gauge, new or changed. Earlier readings keep their calculated values."""
    gauge.full_clean()
    gauge.save()
    return gauge
