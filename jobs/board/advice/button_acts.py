"""Acts sent by one button of the advice page: answer, overrule, change, order, hold, settle."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.setups.enums import Verdict

from ..sheet.bike_header import entry_get
from ..sheet.change_readers import READ_BACK

KINDS = frozenset(("answer", "overrule", "change", "order", "hold", "settle", "judgement"))


def button_act(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One act, and back to the advice as it then stands, or to the round it was done on.

    A tuner who judged "not seen" on their round is led to the way back, which is next.
    """
    if kind not in KINDS:
        raise Http404
    entry = entry_get(entry_id)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    about = {"entry": entry.pk} | ({"how": READ_BACK} if kind == "change" else {})
    try:
        act_from_form(request, kind=kind, about=about, trackday=entry.trackday)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    way_back_next = request.user.is_tuner and request.POST.get("verdict") == Verdict.NOT_SEEN
    if "round" in request.POST and not way_back_next:
        return redirect("board:my-round")
    return redirect("board:advice", entry_id=entry.pk)
