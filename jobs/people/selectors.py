"""Reads about the business and its people."""

from .models import Business, OwnBand


def business_get() -> Business:
    """The business of this installation; an unsaved one with the defaults where none is kept."""
    return Business.objects.filter(pk=1).first() or Business()


def own_bands(business: Business) -> dict[str, tuple[float, float]]:
    """The business's own figures by key of ``jobs.tuning.practice``: (low, high). One query.

    The travel band and the pace that reopens a setup are ways of working of the business.
    """
    bands = {band.key: (float(band.low), float(band.high)) for band in OwnBand.objects.all()}
    trigger = float(business.pace_trigger_s)
    bands["pace_trigger"] = (trigger, trigger)
    bands["travel_used"] = (float(business.travel_low_percent), float(business.travel_high_percent))
    return bands
