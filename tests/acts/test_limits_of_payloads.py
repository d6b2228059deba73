"""What a payload may hold at most, whose adjuster it may name, and what is taken back after it."""

import uuid
from decimal import Decimal

import pytest
from django.db.models import CharField, Model
from rest_framework import serializers

from jobs.acts.registry import KINDS
from jobs.acts.services import act_apply
from jobs.advice.models import Answered
from jobs.garage.models import Adjuster, Fitting
from jobs.setups.models import Adjustment, BikePhoto, Expectation, Finding, KeptSetup, Reading
from jobs.trackday.models import Session
from jobs.worklist.models import Hold
from tests.board.test_photos import upload
from tests.days import local
from tests.photos import photo_kept
from tests.setups.writing import stands_at

from .doing import clock_set, do, item

pytestmark = pytest.mark.django_db

# Where the free texts of a kind are written, by the name of their column.
WRITTEN_TO: dict[str, tuple[type[Model], ...]] = {
    "change": (Adjustment, Expectation),
    "count": (Adjustment,),
    "reading": (Reading,),
    "finding": (Finding,),
    "photo": (BikePhoto,),
    "keep": (KeptSetup,),
    "fitting": (Fitting,),
    "hold": (Hold,),
    "tick": (Adjustment, Finding, Reading),
}


def texts(payload: serializers.Serializer):
    """Each text with a limit, by name, down into what the payload nests."""
    for name, field in payload.fields.items():
        inner = getattr(field, "child", field)
        if isinstance(inner, serializers.Serializer):
            yield from texts(inner)
        elif isinstance(field, serializers.CharField) and field.max_length:
            yield name, field.max_length


@pytest.mark.parametrize("kind", sorted(WRITTEN_TO))
def test_a_text_may_be_as_long_as_the_column_it_is_written_to(kind):
    columns = {
        (model, column.name): column.max_length
        for model in WRITTEN_TO[kind]
        for column in model._meta.fields
        if isinstance(column, CharField) and column.max_length
    }
    found = [
        (name, limit, columns[model, name])
        for name, limit in texts(KINDS[kind].payload())
        for model in WRITTEN_TO[kind]
        if (model, name) in columns
    ]
    assert found
    assert [row for row in found if row[1] != row[2]] == []


def fitted(day, by, **more):
    entry = day.entries[0].pk
    return do(
        "fitting", by, day.trackday, entry=entry, kind="tyre", end="rear", name="Slick", **more
    )


def test_warmers_are_set_to_120_degrees_at_most(day, helper):
    """Common practice, no source: warmers go to about 100 degrees."""
    assert fitted(day, helper, warmers_c=121).outcome == "refused"
    act = fitted(day, helper, warmers_c=120)
    assert act.outcome == "applied", act.answer
    assert [row.warmers_c for row in Fitting.objects.all()] == [120]


def test_a_session_added_lasts_five_minutes_at_least(day, tuner):
    def added(minutes):
        more = {"planned_start": local(19).isoformat(), "minutes": minutes}
        return do("session added", tuner, day.trackday, group=day.groups[0].pk, **more)

    before = Session.objects.count()
    assert added(4).outcome == "refused"
    act = added(5)
    assert act.outcome == "applied", act.answer
    assert Session.objects.count() == before + 1


@pytest.fixture
def rear(day):
    return Adjuster.objects.get(bike=day.entries[0].bike_id, end="rear", function="rebound")


def counted(day, by, adjuster, position):
    row = {"adjuster": adjuster.pk, "position": position}
    return do("count", by, day.trackday, entry=day.entries[0].pk, counts=[row])


def test_a_delay_of_no_minutes_is_refused(day, tuner):
    act = do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=0)
    assert (act.outcome, act.answer["text"]) == (
        "refused", "minutes: A delay of 0 minutes moves nothing.",
    )  # fmt: skip


def optional(payload: serializers.Serializer, path=()):
    """Each field whose default is null, by its path, down into what the payload nests."""
    for name, field in payload.fields.items():
        inner = getattr(field, "child", field)
        if isinstance(inner, serializers.Serializer):
            yield from optional(inner, (*path, name))
        elif not field.required and field.default is None:
            yield (*path, name), field


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_null_says_the_same_as_a_field_left_out(kind):
    """What a tablet kept, and JSON from elsewhere, may say either."""
    found = list(optional(KINDS[kind].payload()))
    assert [".".join(path) for path, field in found if field.run_validation(None)] == []


@pytest.mark.parametrize(
    ("seen", "subject"),
    [
        ({"end": "front", "place": "left"}, "tyre"),
        ({"end": "front"}, "part"),
        ({"end": "", "place": "left"}, "part"),
    ],
)
def test_the_photo_of_a_finding_is_of_the_tyre_where_a_place_on_it_is_said(
    day, helper, settings, tmp_path, seen, subject
):
    settings.MEDIA_ROOT = tmp_path
    photo = photo_kept(photo_id=uuid.uuid4(), upload=upload())
    entry = day.entries[0].pk
    act = do("finding", helper, day.trackday, entry=entry, code="T1", photo=str(photo.pk), **seen)
    assert act.outcome == "applied", act.answer
    assert BikePhoto.objects.get().subject == subject


def test_an_adjuster_of_another_bike_is_named_and_nothing_is_counted(day, helper):
    other = Adjuster.objects.get(bike=day.entries[1].bike_id, end="rear", function="rebound")
    act = counted(day, helper, other, "14")
    assert (act.outcome, "That adjuster is not on" in act.answer["text"]) == ("refused", True)
    assert not Adjustment.objects.exists()


def test_a_count_of_nothing_is_refused(day, helper):
    act = do("count", helper, day.trackday, entry=day.entries[0].pk, counts=[])
    assert act.outcome == "refused"


def changed(day, by, adjuster, from_, to):
    move = {"adjuster": adjuster.pk, "from_position": from_, "to_position": to}
    return do("change", by, day.trackday, entry=day.entries[0].pk, moves=[move], reason="kicks")


def test_a_change_that_was_placed_can_still_be_withdrawn(day, tuner, rear):
    """The act that placed it names the same row and takes nothing back."""
    counted(day, tuner, rear, "14")
    change = changed(day, tuner, rear, "12", "10")
    assert change.outcome == "unplaced"
    assert do("place", tuner, day.trackday, row=str(change.pk)).outcome == "applied"
    assert stands_at(rear) == 10
    assert do("withdraw", tuner, day.trackday, row=str(change.pk)).outcome == "applied"
    assert stands_at(rear) != 10


def test_a_withdrawal_that_was_refused_leaves_the_act_to_be_taken_back(day, tuner, helper):
    delay = do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=10)
    assert do("withdraw", helper, day.trackday, row=str(delay.pk)).outcome == "refused"
    assert do("withdraw", tuner, day.trackday, row=str(delay.pk)).outcome == "applied"
    again = do("withdraw", tuner, day.trackday, row=str(delay.pk))
    assert (again.outcome, again.answer["text"]) == ("refused", "It was taken back already.")


def test_an_answer_to_a_question_of_advice_is_taken_back_by_whoever_gave_it(day, helper):
    entry = day.entries[0].pk
    answer = do("answer", helper, day.trackday, entry=entry, code="B1", suspect=1, yes=True)
    assert answer.outcome == "applied", answer.answer
    assert do("withdraw", helper, day.trackday, row=str(answer.pk)).outcome == "applied"
    assert Answered.objects.get().withdrawn_at is not None


def kept(day, by, hour=8, **conditions):
    """How many setups were kept when these conditions were entered."""
    clock_set(day.trackday, local(hour))
    act = do("conditions", by, day.trackday, trackday=day.trackday.pk, **conditions)
    assert act.outcome == "applied", act.answer
    return act.answer["kept"]


def test_a_change_of_the_surface_keeps_the_setups_of_bikes_here_and_counted(day, tuner, rear):
    for entry in day.entries[:2]:  # the second is here and not counted
        do("arrived", tuner, day.trackday, entry=entry.pk)
    counted(day, tuner, rear, "14")
    surfaces = [False, True, True, False]  # wet, hour by hour; before, it was dry
    assert [kept(day, tuner, hour, wet=wet) for hour, wet in enumerate(surfaces, 9)] == [0, 1, 0, 1]
    assert [(row.bike_id, row.kind) for row in KeptSetup.objects.order_by("done_at")] == [
        (day.entries[0].bike_id, "dry"),
        (day.entries[0].bike_id, "wet"),
    ]


def test_a_bike_counted_and_not_here_keeps_no_setup(day, tuner, rear):
    Adjustment.objects.create(
        adjuster=rear, kind="baseline", seq=1, to_position=Decimal(14), by=tuner, done_at=local(8)
    )
    assert kept(day, tuner, wet=True) == 0


def test_a_finding_of_the_catalogue_is_called_by_its_title(day, helper):
    act = do("finding", helper, day.trackday, entry=day.entries[0].pk, code="B1", end="front")
    row = Finding.objects.get(pk=act.pk)
    assert (row.code, bool(row.title)) == ("B1", True)
    assert row.title != "B1"


def test_the_riders_pace_is_the_riders_word(day, helper):
    entry, words = day.entries[0], item(day.trackday, "words")
    told = {"item": words.pk, "session": day.sessions[0].pk, "pace": "quicker", "said": []}
    act = do("tick", helper, day.trackday, entry=entry.pk, **told)
    assert act.outcome == "applied", act.answer
    assert [row.by_rider for row in Finding.objects.all()] == [True]


def test_a_version_nobody_wrote_is_refused(day, helper):
    act = act_apply(
        act_id=uuid.uuid4(), kind="arrived", version=2, by=helper,
        payload={"entry": day.entries[0].pk}, trackday=day.trackday,
    )  # fmt: skip
    assert act.outcome == "refused"


def both_ends_read(day, by):
    values = [{"name": "pressure", "value": "31", "unit": "psi"}]
    act = do(
        "reading", by, day.trackday, entry=day.entries[0].pk, kind="pressure", end="front",
        values=values, tyre_state="cold", also=[{"end": "rear", "values": values}],
    )  # fmt: skip
    assert act.outcome == "applied", act.answer
    return act


@pytest.mark.parametrize("also", [[], [{"end": "rear"}]])
def test_whoever_sees_that_a_tuners_reading_is_wrong_takes_it_back(day, tuner, helper, also):
    values = [{"name": "pressure", "value": "31", "unit": "psi"}]
    act = do(
        "reading", tuner, day.trackday, entry=day.entries[0].pk, kind="pressure", end="front",
        values=values, tyre_state="cold", also=[{**one, "values": values} for one in also],
    )  # fmt: skip
    back = do("withdraw", helper, day.trackday, row=str(act.pk))
    assert back.outcome == "applied", back.answer
    assert not Reading.objects.filter(withdrawn_at=None).exists()


def test_one_end_taken_back_alone_does_not_hold_up_the_other(day, helper):
    act = both_ends_read(day, helper)
    front, rear = act.answer["rows"]
    assert do("withdraw", helper, day.trackday, row=front).outcome == "applied"
    assert Reading.objects.get(withdrawn_at=None).end == "rear"
    back = do("withdraw", helper, day.trackday, row=str(act.pk))
    assert back.outcome == "applied", back.answer
    assert not Reading.objects.filter(withdrawn_at=None).exists()
    assert do("withdraw", helper, day.trackday, row=rear).outcome == "refused"
    assert do("withdraw", helper, day.trackday, row=str(act.pk)).outcome == "refused"
