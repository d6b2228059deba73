"""Kept setups side by side, and the changes that lead back to one of them."""

import uuid
from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from jobs.acts.web import act_from_form
from jobs.garage.enums import End
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.setups.enums import SetupKind
from jobs.setups.models import KeptSetup
from jobs.trackday.models import Entry

from .bike_header import bike_header_of, entry_get

ARRIVED = "arrived"
AS_IT_LEFT = "left"  # the setup with which the bike ended its last day


def setups(request: SignedIn, entry_id: int) -> HttpResponse:
    """Every kept setup of the bike beside what it stands at."""
    entry = entry_get(entry_id)
    standings = selectors.standings_of_entry(entry)
    kept = list(selectors.kept_setups_of_bike(entry.bike))
    now = {s.adjuster.pk: s.position for s in standings if s.position is not None}
    arrived = {s.adjuster.pk: s.arrived for s in standings if s.arrived is not None}
    columns: list[Mapping[int, Decimal]] = [now, arrived, *(_positions(k) for k in kept)]
    return render(
        request,
        "board/sheet/setups.html",
        {
            "entry": entry,
            "head": bike_header_of(entry),
            "kept": kept,
            "pressures": _pressures_read(kept),
            "rows": selectors.compared([s.adjuster for s in standings], columns),
            "kinds": [choice for choice in SetupKind.choices if choice[0] != SetupKind.ARRIVED],
        },
    )


def _pressures_read(kept: Sequence[KeptSetup]) -> list[tuple[str, list[str]]]:
    """A row for each end at which a pressure was read when one of the setups was kept."""
    read = [selectors.pressures_kept(one) for one in kept]
    return [
        (str(end.label), [of_one.get(end.value, "–") for of_one in read])
        for end in End
        if any(end.value in of_one for of_one in read)
    ]


def way_back(request: SignedIn, entry_id: int, target: str) -> HttpResponse:
    """The changes that bring the bike back to "arrived" or to a kept setup."""
    entry = entry_get(entry_id)
    standings = selectors.standings_of_entry(entry)
    name, positions = _target(entry, target, standings)
    if request.method == "POST":
        _step_back(request, entry, name)
        return redirect("board:sheet-back", entry_id=entry.pk, target=target)
    return render(
        request,
        "board/sheet/way_back.html",
        {
            "entry": entry,
            "head": bike_header_of(entry),
            "name": name,
            "reason": _reason(name),
            "target": target,
            "differences": selectors.way_back(standings, positions),
            "broken": [s for s in standings if not s.adjuster.usable],
        },
    )


def _reason(name: str) -> str:
    return _("back to %(name)s") % {"name": name}


def _step_back(request: SignedIn, entry: Entry, name: str) -> None:
    """One change of the way back, done or ordered."""
    reason = _reason(name)
    kind = "order" if request.POST.get("how") == "order" else "change"
    about = {"entry": entry.pk, "reason": reason, "step_reason": reason}
    try:
        act_from_form(request, kind=kind, about=about, trackday=entry.trackday)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))


def _target(
    entry: Entry, target: str, standings: list[selectors.Standing]
) -> tuple[str, Mapping[int, Decimal]]:
    if target == ARRIVED:
        arrived = {s.adjuster.pk: s.arrived for s in standings if s.arrived is not None}
        return _("as arrived"), arrived
    if target == AS_IT_LEFT:
        before = selectors.setup_before(entry)
        if before is None:
            raise Http404
        return _("as it left last time"), before.positions
    try:
        wanted = uuid.UUID(target)
    except ValueError as error:
        raise Http404 from error
    kept = next((k for k in selectors.kept_setups_of_bike(entry.bike) if k.pk == wanted), None)
    if kept is None:
        raise Http404
    return kept.name, _positions(kept)


def _positions(kept: KeptSetup) -> dict[int, Decimal]:
    return {one.adjuster_id: one.position for one in kept.positions.all()}
