"""What is left of the beginning: the list with one step open, a step kept or put off."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import BaseForm
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.desk.beginning.steps import (
    BY_SLUG,
    ShownStep,
    Step,
    shipped_checklists,
    step_keep,
    steps_shown,
)
from jobs.desk.mail_server import letter_tried, mail_said
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.people.services import put_off
from jobs.trackday.models import Trackday


def begin(request: SignedIn) -> HttpResponse:
    """The list; the first step that is left is open, or the one asked for."""
    shown = steps_shown(business_get())
    asked = request.GET.get("step", "")
    wanted = next((one for one in shown if one.step.slug == asked and not one.done), None)
    opened = wanted or next((one for one in shown if one.is_left), None)
    form = opened.step.form(None, None, request.user) if opened else None
    return _page(request, shown, opened, form)


@require_POST
def begin_step(request: SignedIn, slug: str) -> HttpResponse:
    """Keep what was entered, or put the step off. The next one is then open."""
    if slug not in BY_SLUG:
        raise Http404
    step = BY_SLUG[slug]
    if "later" in request.POST:
        put_off(step=slug, is_put_off=True)
        return _to_next()
    form = step.form(request.POST, request.FILES, request.user)
    if form.is_valid() and _kept(request, step, form):
        put_off(step=slug, is_put_off=False)
        if slug != "mail" or letter_tried(request, form):
            return _to_next()
    shown = steps_shown(business_get())
    opened = next((one for one in shown if one.step.slug == slug), None)
    return _page(request, shown, opened, form)


def _to_next() -> HttpResponse:
    """The list, scrolled to the step that is open now."""
    left = [one.step.slug for one in steps_shown(business_get()) if one.is_left]
    return redirect(reverse("desk:begin") + (f"#{left[0]}" if left else ""))


def _kept(request: SignedIn, step: Step, form: BaseForm) -> bool:
    try:
        if not step_keep(step=step, form=form, by=request.user):
            messages.info(request, _("This was done already. “Change” leads to what stands there."))
    except ValidationError as error:
        for field, found in getattr(error, "error_dict", {None: error}).items():
            form.add_error(field if field in form.fields else None, found)
        return False
    return True


def _page(
    request: SignedIn, shown: list[ShownStep], opened: ShownStep | None, form: BaseForm | None
) -> HttpResponse:
    slug = opened.step.slug if opened else ""
    return render(
        request,
        "desk/beginning.html",
        {
            "steps": shown,
            "opened": opened,
            "form": form,
            "done": sum(bool(one.done) for one in shown),
            "day": Trackday.objects.order_by("-pk").first(),
            "shipped": shipped_checklists() if slug == "checklists" else [],
            "mail": mail_said() if slug == "mail" else None,
        },
    )
