"""Backups: how old the last good one is, one made now, and an encrypted one to take away."""

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.backups.models import Backup
from jobs.backups.selectors import backup_file
from jobs.backups.services import backup_ask
from jobs.desk import lists
from jobs.people.access import SignedIn
from jobs.people.enums import TrailEvent
from jobs.people.trail import trail_note
from jobs.people.typed import redirect_within
from jobs.serving.authority import authorities_kept

SHOWN = 20


def backups(request: SignedIn) -> HttpResponse:
    """The page; while one is being made, its part that renews itself."""
    rows = [
        {"backup": backup, "may_be_taken": request.user.is_tuner and bool(backup_file(backup))}
        for backup in Backup.objects.all()[:SHOWN]
    ]
    page = {
        **lists.backup_said(),
        "rows": rows,
        "folder": settings.BACKUP_DIR,
        "hour": settings.BACKUP_HOUR,
        "encrypted": bool(settings.BACKUP_PASSPHRASE),
        "has_authority": bool(authorities_kept()),
    }
    name = "desk/backups_now.html" if request.headers.get("HX-Request") else "desk/backups.html"
    return render(request, name, page)


@require_POST
def backup_now(request: SignedIn) -> HttpResponse:
    """Ask the worker for one; back to the page it was asked on."""
    if backup_ask():
        messages.success(request, _("A backup is being made. You can go on working."))
    else:
        messages.info(request, _("A backup is being made already."))
    return redirect_within(request, request.POST.get("next", ""), "desk:backups")


def backup_download(request: SignedIn, pk: int) -> FileResponse:
    """An encrypted backup. One that is not encrypted is never given to a browser."""
    file = backup_file(get_object_or_404(Backup, pk=pk))
    if file is None:
        raise Http404
    trail_note(TrailEvent.BACKUP_TAKEN, by=request.user, ref=pk)
    response = FileResponse(file.open("rb"), as_attachment=True, filename=file.name)
    response["Cache-Control"] = "no-store"
    return response
