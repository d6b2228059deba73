"""What the office types, checked before a service writes it."""

from .business import BusinessForm, VenueForm
from .crew import CrewForm
from .customers import CustomerForm, RiderForm
from .days import RunGroupsForm, SessionForm, TrackdayForm
from .entries import EntryForm, NewEntryForm
from .imports import EntriesListForm, TimetableListForm
from .packages import PackageForm
from .springs import SpringInVanForm
from .timetable import CopyForm, RegularTimetableForm

__all__ = [
    "BusinessForm",
    "CopyForm",
    "CrewForm",
    "CustomerForm",
    "EntriesListForm",
    "EntryForm",
    "NewEntryForm",
    "PackageForm",
    "RegularTimetableForm",
    "RiderForm",
    "RunGroupsForm",
    "SessionForm",
    "SpringInVanForm",
    "TimetableListForm",
    "TrackdayForm",
    "VenueForm",
]
