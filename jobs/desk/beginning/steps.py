"""The steps of the beginning: when each is done, and what is written when it is kept."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.billing.enums import Scheme
from jobs.billing.models import TaxRate, Terms
from jobs.billing.services.prices import terms_update
from jobs.billing.services.tax_rates import tax_rate_add
from jobs.billing.usual_rates import SALES_TAX_COUNTRIES
from jobs.desk.mail_server import mail_form, mail_form_keep
from jobs.desk.packages import package_write
from jobs.desk.records import record_create, record_update
from jobs.outbox.mail_server import account_get, is_proven
from jobs.people.dates import business_today
from jobs.people.devices import pin_set
from jobs.people.enums import EditVerb, Role, TrailEvent
from jobs.people.models import Business, User
from jobs.people.selectors import business_get
from jobs.people.services import edit_note, pin_only_user
from jobs.people.trail import trail_note
from jobs.trackday.models import ServicePackage, Trackday, Venue
from jobs.trackday.regular_timetable import timetable_make
from jobs.worklist.models import Checklist
from jobs.worklist.services import checklists_load

from .forms import (
    HelpersForm,
    LetterheadForm,
    StarterForm,
    TaxForm,
    TrackdayStepForm,
    VenueStepForm,
)

CHECKLISTS = Path(settings.BASE_DIR) / "fixtures" / "checklists.json"


@dataclass(frozen=True)
class Step:
    """``done``: what there is in words, empty while the step is to be done."""

    slug: str
    title: Any
    why: Any
    done: Callable[[], str]
    form: Callable[[Any, Any, User], forms.BaseForm]
    keep: Callable[[Any, User], None]
    change: str  # the page on which it is changed later

    @property
    def template(self) -> str:
        return f"desk/beginning/{self.slug}.html"

    @property
    def change_url(self) -> str:
        return reverse(self.change)


def _names(names: list[str]) -> str:
    return ", ".join(names)


def _tax_done() -> str:
    terms = Terms.objects.first()
    if terms is None:
        return ""
    if terms.scheme == Scheme.NOT_REGISTERED:
        return str(terms.get_scheme_display())
    return _names([str(rate) for rate in TaxRate.objects.filter(valid_to=None)])


def _tax_keep(form: TaxForm, by: User) -> None:
    data = form.cleaned_data
    if data["registered"] == "no":
        terms_update(scheme=Scheme.NOT_REGISTERED, prices_include_tax=False)
        return
    is_sales_tax = business_get().country in SALES_TAX_COUNTRIES
    scheme = Scheme.SALES_TAX if is_sales_tax else Scheme.VAT
    terms_update(scheme=scheme, prices_include_tax=data["included"])
    if not TaxRate.objects.filter(code="standard").exists():
        tax_rate_add(
            code="standard",
            name=_("Sales tax") if is_sales_tax else _("VAT"),
            percent=data["percent"],
            category="S",
            valid_from=date(business_today().year, 1, 1),
        )


def _prices_keep(form: StarterForm, by: User) -> None:
    for kind, name, price in form.chosen():
        package = ServicePackage(
            name=name, follow_ups=kind.follow_ups, advice_only=kind.advice_only
        )
        package_write(package=package, price=price, checklists=None, by=by)


def _checklists_keep(form: forms.BaseForm, by: User) -> None:
    made = checklists_load(lists=shipped_checklists())
    for one in made:
        edit_note(by=by, verb=EditVerb.NEW, what="checklist", title=one.name, ref=one.pk)


def shipped_checklists() -> list[dict[str, Any]]:
    lists: list[dict[str, Any]] = json.loads(CHECKLISTS.read_text(encoding="utf-8"))
    return lists


def _trackday_keep(form: TrackdayStepForm, by: User) -> None:
    data = form.cleaned_data
    venue = data["venue"]
    day = Trackday.objects.create(venue=venue, name=data["name"], date=data["date"])
    edit_note(by=by, verb=EditVerb.NEW, what="trackday", title=str(day), ref=day.pk)
    if data["in_turns"]:
        timetable_make(trackday=day, **form.moments(day.date, venue.timezone))


def _letterhead_done() -> str:
    business = business_get()
    if not (business.street and business.city and business.tax_id):
        return ""
    return f"{business.street}, {business.postcode} {business.city}".replace("  ", " ")


def _letterhead_keep(form: LetterheadForm, by: User) -> None:
    record_update(form=form, by=by)
    if picture := form.cleaned_data.get("picture"):
        terms_update(logo=picture.read())


def _mail_done() -> str:
    return _("a test letter went out") if is_proven(account_get()) else ""


def _helpers_done() -> str:
    crew = User.objects.filter(is_active=True).exclude(role=Role.CUSTOMER).exclude(pin_hash="")
    return _names([user.display_name for user in crew.order_by("pk")])


def _helpers_keep(form: HelpersForm, by: User) -> None:
    for name, pin in form.helpers():
        user = pin_only_user(name=name, role=Role.HELPER)
        pin_set(user=user, pin=pin, by=by)
        trail_note(TrailEvent.CREW_ENTERED, by=by, ref=user.pk)
        edit_note(by=by, verb=EditVerb.NEW, what="user", title=name, ref=user.pk)
    if own := form.cleaned_data["own"]:
        pin_set(user=by, pin=own)


def _counted(count: int) -> str:
    return ngettext("%(n)d checklist", "%(n)d checklists", count) % {"n": count} if count else ""


STEPS = (
    Step(
        "tax", gettext_lazy("Tax"), gettext_lazy("Decides what an invoice shows."), _tax_done,
        lambda data, files, by: TaxForm(data, business=business_get()), _tax_keep, "money:terms",
    ),
    Step(
        "prices", gettext_lazy("What you sell"),
        gettext_lazy("Every bike is entered with one of these. Others can follow, under Packages."),
        lambda: _names([str(p) for p in ServicePackage.objects.filter(active=True)]),
        lambda data, files, by: StarterForm(data, currency=business_get().currency),
        _prices_keep, "desk:packages",
    ),
    Step(
        "checklists", gettext_lazy("Checklists"),
        gettext_lazy("What is asked of every bike, in which window. They are yours to change."),
        lambda: _counted(Checklist.objects.filter(retired_at=None).count()),
        lambda data, files, by: forms.Form(data), _checklists_keep, "board:checklists",
    ),
    Step(
        "venue", gettext_lazy("Your first venue"),
        gettext_lazy("Its time zone is the clock of a day there."),
        lambda: _names([str(venue) for venue in Venue.objects.all()[:5]]),
        lambda data, files, by: VenueStepForm(data, business=business_get()),
        lambda form, by: record_create(form=form, by=by) and None, "desk:business",
    ),
    Step(
        "trackday", gettext_lazy("Your first trackday"),
        gettext_lazy("A date and the hours; the organiser's own timetable can replace them."),
        lambda: _names([str(day) for day in Trackday.objects.all()[:3]]),
        lambda data, files, by: TrackdayStepForm(data, today=business_today()),
        _trackday_keep, "desk:home",
    ),
    Step(
        "letterhead", gettext_lazy("Letterhead"),
        gettext_lazy("Stands on every invoice: without it none can be issued."), _letterhead_done,
        lambda data, files, by: LetterheadForm(data, files, instance=business_get()),
        _letterhead_keep, "desk:business",
    ),
    Step(
        "mail", gettext_lazy("Mail"),
        gettext_lazy("Customers get their link and their invoice by mail."), _mail_done,
        lambda data, files, by: mail_form(data, by), mail_form_keep, "desk:mail-server",
    ),
    Step(
        "helpers", gettext_lazy("Helpers and PINs"),
        gettext_lazy("On a shared tablet everybody signs in with name and PIN."), _helpers_done,
        lambda data, files, by: HelpersForm(data), _helpers_keep, "desk:crew",
    ),
)  # fmt: skip
BY_SLUG = {step.slug: step for step in STEPS}


@dataclass(frozen=True)
class ShownStep:
    step: Step
    done: str
    is_put_off: bool

    @property
    def is_left(self) -> bool:
        return not (self.done or self.is_put_off)


def steps_shown(business: Business) -> list[ShownStep]:
    """Every step as it stands. A day without a venue is no step yet: it waits for the venue."""
    found = [ShownStep(s, s.done(), s.slug in business.put_off) for s in STEPS]
    venues = next(one.done for one in found if one.step.slug == "venue")
    return [one for one in found if one.step.slug != "trackday" or venues]


@transaction.atomic
def step_keep(*, step: Step, form: forms.BaseForm, by: User) -> bool:
    """Write what a step asked. False: it was done already, by a second tap or another tuner.

    Raises ValidationError in words, and writes nothing.
    """
    Business.objects.select_for_update(no_key=True).get(pk=1)  # one step at a time
    if step.done() and step.slug != "mail":
        return False
    step.keep(form, by)
    return True
