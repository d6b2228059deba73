from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.billing.money import exponent
from jobs.billing.selectors.takings import day_takings
from jobs.billing.selectors.waiting import days_to_invoice
from jobs.desk import lists
from jobs.desk.beginning.steps import steps_shown
from jobs.desk.forms import RunGroupsForm, SessionForm, TrackdayForm
from jobs.desk.money.answers import currency
from jobs.desk.records import record_create, record_update
from jobs.desk.waiting import day_lacks, waiting_lines
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.enums import EditVerb
from jobs.people.selectors import business_get
from jobs.people.services import edit_note
from jobs.trackday import clock
from jobs.trackday.models import RunGroup, ServicePackage, Session, Trackday
from jobs.trackday.office import group_pace_set, session_enter, session_reschedule
from jobs.trackday.selectors import event_days
from jobs.trackday.services import revision_bump
from jobs.worklist.planned.capacity import capacity, staffing
from jobs.worklist.planned.minutes import moment_of

MOST_DAYS = 5  # named on the first page; all of them stand on the page of trackdays
DAYS_ON_A_PAGE = 40


def home(request: HttpRequest) -> HttpResponse:
    """What waits for the office, the days to come, and the money: each leads to its page."""
    now = business_today()
    lines, sums = waiting_lines(now)
    coming = lists.coming_days()
    past = lists.past_days(coming)[:MOST_DAYS]
    to_invoice = days_to_invoice(now, places=exponent(currency()))[::-1]
    left = [] if past else [one for one in steps_shown(business_get()) if one.is_left]
    page = {
        "lines": lines,
        "money": sums,
        "taken_minor": day_takings(now)[0].total,
        "to_invoice": to_invoice,
        "to_invoice_minor": sum(one.open_minor for one in to_invoice),
        "coming": [(day, day_lacks(day)) for day in coming[:MOST_DAYS]],
        "past": past,
        "left": len(left),
        "currency": currency(),
        **lists.backup_said(),
    }
    return render(request, "desk/home.html", page)


def trackdays(request: HttpRequest) -> HttpResponse:
    """Every day: those to come, and the past ones by pages."""
    coming = lists.coming_days()
    pages = Paginator(lists.past_days(coming), DAYS_ON_A_PAGE)
    page = {"coming": coming, "past": pages.get_page(request.GET.get("page"))}
    return render(request, "desk/days.html", page)


def trackday(request: HttpRequest, pk: int) -> HttpResponse:
    day = get_object_or_404(Trackday.objects.select_related("venue", "named_crew"), pk=pk)
    rows = lists.entries(day)
    return render(
        request,
        "desk/trackday.html",
        {
            "day": day,
            "slots": lists.timetable(day),
            "entries": rows,
            "coming": sum(1 for entry in rows if not entry.absence),
            "numbers_used_twice": lists.numbers_used_twice(rows),
        },
    )


def trackday_room(request: SignedIn, pk: int) -> HttpResponse:
    """What the day can take: the answers are counted aside, one by one, and come as they are."""
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    packages = list(ServicePackage.objects.filter(active=True))
    wanted = request.GET.get("package", "")
    context = {
        "day": day,
        "days": event_days(day) or [day],
        "groups": list(day.groups.all()),
        "packages": packages,
        "package": next((p for p in packages if str(p.pk) == wanted), None),
        "advice": "helpers" in request.GET,
    }
    return render(request, "desk/room.html", context)


def trackday_room_group(request: SignedIn, pk: int, group: int, package: int) -> HttpResponse:
    """At least how many more bikes of a package one run group can take."""
    run_group = get_object_or_404(
        RunGroup.objects.select_related("trackday__venue"), pk=group, trackday=pk
    )
    asked = get_object_or_404(ServicePackage, pk=package)
    context = {"room": capacity(run_group.trackday, run_group, asked)}
    return render(request, "desk/room_group.html", context)


def trackday_staffing(request: SignedIn, pk: int) -> HttpResponse:
    """How many helpers the day asks for, from when to when."""
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    advice = staffing(day)
    zero = clock.midnight(day)
    shifts = advice.shifts if advice else []
    moments = [(moment_of(zero, first), moment_of(zero, last)) for first, last in shifts]
    return render(request, "desk/staffing.html", {"day": day, "advice": advice, "shifts": moments})


def trackday_new(request: SignedIn) -> HttpResponse:
    form = TrackdayForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        day = record_create(form=form, by=request.user)
        return redirect("desk:trackday", day.pk)
    return render(request, "desk/form.html", {"form": form, "title": _("New trackday")})


def trackday_edit(request: SignedIn, pk: int) -> HttpResponse:
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    form = TrackdayForm(request.POST or None, instance=day)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            record_update(form=form, by=request.user, fields=form.changed_fields)
            revision_bump(trackday_id=day.pk)
        return redirect("desk:trackday", pk)
    return render(request, "desk/form.html", {"form": form, "title": _("Edit the trackday")})


def run_groups(request: SignedIn, pk: int) -> HttpResponse:
    """How fast each run group rides: the travel that is meant to be used depends on it."""
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    form = RunGroupsForm(day, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            for group, pace in form.changed():
                changes = {"pace": [group.pace, pace]}
                group_pace_set(group=group, pace=pace)
                edit_note(
                    by=request.user, verb=EditVerb.CHANGED, what="run group", title=str(group),
                    ref=group.pk, changes=changes,
                )  # fmt: skip
            revision_bump(trackday_id=day.pk)
        return redirect("desk:trackday", pk)
    return render(request, "desk/form.html", {"form": form, "title": _("Run groups")})


def session_new(request: SignedIn, pk: int) -> HttpResponse:
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    form = SessionForm(request.POST or None, trackday=day)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        with transaction.atomic():
            session = session_enter(
                trackday=day,
                letter=data["letter"],
                planned_start=data["planned_start"],
                planned_end=data["planned_end"],
            )
            edit_note(
                by=request.user, verb=EditVerb.NEW, what="session", title=str(session),
                ref=session.pk,
            )  # fmt: skip
        messages.success(request, _("Session %(name)s is in the timetable.") % {"name": session})
        return redirect("desk:trackday", pk)
    return render(request, "desk/form.html", {"form": form, "title": _("New session")})


def session_edit(request: SignedIn, pk: int) -> HttpResponse:
    session = get_object_or_404(Session.objects.select_related("group", "trackday__venue"), pk=pk)
    form = SessionForm(request.POST or None, trackday=session.trackday, session=session)
    if session.actual_start or session.actual_end or session.cancelled_at:
        messages.error(request, _("This session has been run or cancelled: its plan stays."))
        return redirect("desk:trackday", session.trackday_id)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        with transaction.atomic():
            session_reschedule(
                session=session,
                planned_start=data["planned_start"],
                planned_end=data["planned_end"],
            )
            edit_note(
                by=request.user, verb=EditVerb.CHANGED, what="session", title=str(session),
                ref=session.pk,
            )  # fmt: skip
            revision_bump(trackday_id=session.trackday_id)
        return redirect("desk:trackday", session.trackday_id)
    return render(request, "desk/form.html", {"form": form, "title": _("Session %s") % session})
