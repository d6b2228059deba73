"""What the office types, checked before a service writes it."""

from .business import BusinessForm, VenueForm
from .crew import CrewForm
from .customers import CustomerForm, RiderForm
from .days import SessionForm, TrackdayForm
from .entries import EntryForm, NewEntryForm
from .imports import ImportForm

__all__ = [
    "BusinessForm",
    "CrewForm",
    "CustomerForm",
    "EntryForm",
    "ImportForm",
    "NewEntryForm",
    "RiderForm",
    "SessionForm",
    "TrackdayForm",
    "VenueForm",
]
