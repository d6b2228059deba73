"""The pages of the manual. Who may read which: ``jobs/people/access.py``."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from jobs.people.access import SignedIn, may_open

from .screens import MANUALS


@require_GET
def home(request: SignedIn) -> HttpResponse:
    """The manual of the reader's own job: a manual is named as the role."""
    return redirect(f"manual:{request.user.role}")


@require_GET
def manual(request: SignedIn, job: str) -> HttpResponse:
    others = [
        {"title": other.title, "url": reverse(f"manual:{name}")}
        for name, other in MANUALS.items()
        if name != job and may_open(role=request.user.role, view_name=f"manual:{name}")
    ]
    return render(request, "manual/page.html", {"manual": MANUALS[job], "others": others})
