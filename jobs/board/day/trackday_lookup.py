"""The trackday that an address names, or a page that says there is none."""

from django.http import Http404
from django.utils.translation import gettext as _

from jobs.trackday.models import Trackday


def trackday_or_404(trackday_id: int) -> Trackday:
    trackday = Trackday.objects.select_related("venue").filter(pk=trackday_id).first()
    if trackday is None:
        raise Http404(_("There is no such trackday."))
    return trackday
