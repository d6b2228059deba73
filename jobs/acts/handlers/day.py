"""Acts about the whole day: the conditions, and who of the crew is here."""

from typing import Any

from django.db.models import Exists, OuterRef
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from rest_framework import serializers

from jobs.garage.words import plain
from jobs.people.enums import CREW
from jobs.people.models import User
from jobs.setups.enums import RowState, SetupKind
from jobs.setups.models import Adjustment
from jobs.setups.origin import RowOrigin
from jobs.setups.services import kept_setup_keep
from jobs.trackday import clock
from jobs.trackday.models import Conditions, CrewDay, Trackday
from jobs.trackday.services import (
    conditions_enter,
    conditions_withdraw,
    crew_join,
    crew_leave,
    crew_times,
    lunches_stagger,
)

from ..fields import MomentField, TrackdayField, day_set, text_field
from ..models import Act
from ..registry import NEVER, Answer, Context, act, by_act


def degrees(lowest: int, highest: int) -> serializers.DecimalField:
    return serializers.DecimalField(
        max_digits=4,
        decimal_places=1,
        min_value=lowest,
        max_value=highest,
        required=False,
        allow_null=True,
        default=None,
    )


class ConditionsPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    air_c = degrees(-30, 60)
    track_c = degrees(-30, 80)
    wet = serializers.BooleanField(default=False)
    wind = text_field(80, personal=False)


class CrewPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    user = serializers.PrimaryKeyRelatedField(queryset=User.objects.filter(is_active=True))


class CrewTimesPayload(CrewPayload):
    """A time that is left out no longer limits anything."""

    joins_at = MomentField(required=False, allow_null=True, default=None)
    leaves_at = MomentField(required=False, allow_null=True, default=None)
    lunch_from = MomentField(required=False, allow_null=True, default=None)
    lunch_to = MomentField(required=False, allow_null=True, default=None)


class LunchesPayload(serializers.Serializer[Any]):
    trackday = TrackdayField()
    start = MomentField()
    end = MomentField()
    minutes = serializers.IntegerField(min_value=10, max_value=120)


def conditions_take_back(context: Context, earlier: Act) -> str:
    conditions_withdraw(conditions=Conditions.objects.get(pk=earlier.pk), at=context.done_at)
    return _("The conditions before count again.")


@act("conditions", payload=ConditionsPayload, roles=CREW, taken_back=by_act(conditions_take_back))
def conditions(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    kept = _keep_setups(context, data["trackday"], data["wet"])
    row = conditions_enter(conditions_id=context.act_id, by=context.by, at=context.done_at, **data)
    words = [_("wet") if row.wet else _("dry")]
    if row.track_c is not None:
        words.append(_("track %(t)s °C") % {"t": plain(row.track_c)})
    if row.air_c is not None:
        words.append(_("air %(t)s °C") % {"t": plain(row.air_c)})
    text = _("Conditions from now on: %(words)s.") % {"words": ", ".join(words)}
    if kept:
        text += " " + ngettext(
            "The %(kind)s setup of %(n)d bike is kept.",
            "The %(kind)s setups of %(n)d bikes are kept.",
            kept,
        ) % {"n": kept, "kind": _("dry") if row.wet else _("wet")}
    return Answer(text, data={"kept": kept})


def _keep_setups(context: Context, trackday: Trackday, wet: bool) -> int:
    """Between dry and wet, keep the setup of every counted bike that is here."""
    before = trackday.conditions.filter(withdrawn_at=None).order_by("-at").first()
    if (before.wet if before else False) == wet:
        return 0
    kind = SetupKind.DRY if wet else SetupKind.WET
    counted = Adjustment.objects.filter(adjuster__bike=OuterRef("bike"), state=RowState.PLACED)
    entries = trackday.entries.filter(Exists(counted), moves__isnull=False).distinct()
    seen: set[int] = set()
    for entry in entries.select_related("bike"):
        if entry.bike_id in seen:  # two riders, one bike
            continue
        seen.add(entry.bike_id)
        origin = RowOrigin(id=context.act_id, by=context.by, done_at=context.done_at, entry=entry)
        kept_setup_keep(origin=origin.further(f"keep {entry.pk}"), bike=entry.bike, kind=kind)
    return len(seen)


@act("crew joins", payload=CrewPayload, roles=CREW, taken_back=NEVER)
def joins(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    crew_join(trackday=data["trackday"], user=data["user"], at=context.done_at)
    return Answer(_("%(name)s is here.") % {"name": data["user"].display_name})


@act("crew leaves", payload=CrewPayload, roles=CREW, taken_back=NEVER)
def leaves(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    crew_leave(trackday=data["trackday"], user=data["user"], at=context.done_at)
    return Answer(
        _("%(name)s has left; the round is for the others.") % {"name": data["user"].display_name}
    )


@act("crew times", payload=CrewTimesPayload, roles=CREW, taken_back=NEVER)
def times(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    crew_times(**data)
    return Answer(
        _("%(name)s's times are kept; the plan follows.") % {"name": data["user"].display_name}
    )


@act("lunches", payload=LunchesPayload, roles=CREW, taken_back=NEVER)
def lunches(context: Context, data: dict[str, Any]) -> Answer:
    day_set(context, data["trackday"].pk)
    crew = lunches_stagger(**data)
    if not crew:
        return Answer(_("Nobody is on the day's list yet."))
    turns = ", ".join(_lunch_words(member) for member in crew)
    return Answer(_("Lunch: %(turns)s.") % {"turns": turns})


def _lunch_words(member: CrewDay) -> str:
    assert member.lunch_from is not None
    return f"{member.user.display_name} {clock.local(member.trackday, member.lunch_from):%H:%M}"
