"""What the sounds of a tablet follow: where each bike is, and which are on the person's round."""

from django.http import HttpResponse, JsonResponse

from jobs.people.access import SignedIn
from jobs.trackday.at_hand import own_trackday
from jobs.trackday.enums import BikePlace
from jobs.worklist.bikes import BikeDay
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import round_of
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh

OUT = (BikePlace.OUT, BikePlace.DUE_IN)


def mine(request: SignedIn) -> HttpResponse:
    """``{"bikes": [{"entry": 3, "is": "in", "mine": true}]}``: out, in or held."""
    trackday = own_trackday(request)
    if trackday is None:
        return JsonResponse({"bikes": []})
    day = day_read(trackday)
    own = round_of(day, request.user, slots_of(plan_refresh(day=day)))
    on_round = {step.bike.entry.pk for step in [*own.now, *own.soon]}
    bikes = [
        {"entry": bike.entry.pk, "is": _place_in_a_word(bike), "mine": bike.entry.pk in on_round}
        for bike in day.bikes
    ]
    return JsonResponse({"bikes": bikes}, headers={"Cache-Control": "no-store"})


def _place_in_a_word(bike: BikeDay) -> str:
    if bike.holds:
        return "held"
    return "out" if bike.where.place in OUT else "in"
