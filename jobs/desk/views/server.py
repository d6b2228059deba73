"""The server itself: what it lacks, its processes, work that waits, work that was given up."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from jobs.acts.health import checks
from jobs.desk import lists
from jobs.outbox.selectors import job_longest_due, jobs_given_up
from jobs.outbox.services import job_retry
from jobs.outbox.signs import process_signs


def server(request: HttpRequest) -> HttpResponse:
    page = {
        "checks": checks(),
        "processes": process_signs(),
        "longest": job_longest_due(),
        "waiting": lists.jobs_waiting_by_kind(),
        "given_up": lists.jobs_named(jobs_given_up().order_by("-given_up_at")[: lists.MOST_JOBS]),
    }
    return render(request, "desk/server.html", page)


@require_POST
def job_again(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Try one piece of work again that was given up."""
    if job_retry(job_id=pk):
        messages.success(request, _("It is tried again."))
    else:
        messages.info(request, _("It is not given up any more."))
    return redirect("desk:server")


@require_POST
def jobs_again(request: HttpRequest) -> HttpResponse:
    """Try everything again that was given up."""
    ids = list(jobs_given_up().values_list("pk", flat=True))
    n = sum(job_retry(job_id=pk) for pk in ids)
    said = ngettext("%(n)d piece is tried again.", "%(n)d pieces are tried again.", n) % {"n": n}
    messages.success(request, said)
    return redirect("desk:server")
