"""Instruments: unit, and what they read above the reference gauge."""

from ..models import Gauge


def gauge_keep(*, gauge: Gauge) -> Gauge:
    """Write a gauge, new or changed. Readings taken before keep what was worked out then."""
    gauge.full_clean()
    gauge.save()
    return gauge
