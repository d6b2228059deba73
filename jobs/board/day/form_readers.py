"""The forms of the day's tools, read into the payloads of their acts."""

from jobs.acts.forms import PostedForm, checked, form_reader
from jobs.acts.registry import Payload
from jobs.trackday.models import CrewDay, Trackday

from .crew_forms import CrewTimesForm, LunchesForm
from .forms import ConditionsForm, LunchForm, SessionAddForm, WalkUpForm


def _trackday(form: PostedForm) -> Trackday:
    return form.row(Trackday.objects.select_related("venue"), "trackday")


@form_reader("session added")
def session_added(form: PostedForm) -> Payload:
    return checked(SessionAddForm(form.fields, trackday=_trackday(form))).payload()


@form_reader("lunch")
def lunch(form: PostedForm) -> Payload:
    return checked(LunchForm(form.fields, trackday=_trackday(form))).payload()


@form_reader("lunches")
def lunches(form: PostedForm) -> Payload:
    return checked(LunchesForm(form.fields, trackday=_trackday(form))).payload()


@form_reader("crew times")
def crew_times(form: PostedForm) -> Payload:
    members = CrewDay.objects.select_related("user", "trackday__venue")
    return checked(CrewTimesForm(form.fields, member=form.row(members, "member"))).payload()


@form_reader("conditions")
def conditions(form: PostedForm) -> Payload:
    return {"trackday": form.get("trackday"), **checked(ConditionsForm(form.fields)).payload()}


@form_reader("walk-up")
def walk_up(form: PostedForm) -> Payload:
    trackday = _trackday(form)
    return {
        "trackday": trackday.pk,
        **checked(WalkUpForm(form.fields, trackday=trackday)).payload(),
    }
