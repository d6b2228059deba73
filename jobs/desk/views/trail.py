"""The trail, to be read: numbers of what was done; the names stand where they are still known."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from jobs.people.trail import PAGE, trail_page
from jobs.people.typed import whole_number

GROUPS = {
    "": _("everything"),
    "data": _("data given out"),
    "hold": _("holds"),
    "money": _("money"),
    "rights": _("rights"),
}


def trail(request: HttpRequest) -> HttpResponse:
    group = request.GET.get("group", "")
    before = request.GET.get("before", "")
    rows = list(
        trail_page(
            before=whole_number(before),
            group=group if group in GROUPS else "",
        )
    )
    page = {
        "rows": rows,
        "groups": GROUPS.items(),
        "group": group,
        "older": rows[-1].pk if len(rows) == PAGE else None,
    }
    return render(request, "desk/trail.html", page)
