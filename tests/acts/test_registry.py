"""The registry says of every kind of act what its payload holds."""

import uuid

import pytest
from django.utils.datastructures import MultiValueDict
from rest_framework import serializers

from jobs.acts.fields import TextField, tables_named
from jobs.acts.forms import READERS, PostedForm, form_payload
from jobs.acts.models import Act
from jobs.acts.registry import (
    BY_ROW,
    EVERY_FIELD,
    KINDS,
    NEVER,
    Answer,
    Kind,
    payload_of,
    personal_fields,
)
from jobs.acts.services import act_apply
from jobs.people.enums import CREW


def fields_of(field: serializers.Field, path: str = ""):
    """Every field inside a payload, with the path that leads to it."""
    if isinstance(field, serializers.ListSerializer):
        yield from fields_of(field.child, path)
    elif isinstance(field, serializers.Serializer):
        for name, inner in field.fields.items():
            yield f"{path}{name}", inner
            yield from fields_of(inner, f"{path}{name}.")
    elif isinstance(field, serializers.ListField | serializers.DictField):
        yield f"{path}*", field.child


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_free_text_of_a_payload_says_whether_it_is_personal(kind):
    undeclared = [
        path
        for path, field in fields_of(KINDS[kind].payload())
        if isinstance(field, serializers.CharField) and not isinstance(field, TextField)
    ]
    assert undeclared == []


def test_personal_fields_are_found_at_any_depth():
    assert personal_fields("walk-up") == {"name", "number", "phone", "bike"}
    assert personal_fields("tick") == {"words", "corner", "turned_by", "note", "oil_reason"}
    assert personal_fields("bike in") == frozenset()


def test_of_an_unknown_kind_every_field_is_personal():
    for kind in ("form", "no such kind"):
        assert personal_fields(kind) is EVERY_FIELD
        assert "anything" in personal_fields(kind)


class TwicePayload(serializers.Serializer):
    words = TextField(personal=True, max_length=20)
    loud = serializers.BooleanField()


def said(_context, data):
    return Answer(f"{data['words']}{'!' if data['loud'] else '.'}")


def first_to_second(payload):
    """Version 1 called the words “text”."""
    return {"words": payload["text"]}


def second_to_third(payload):
    """Version 2 knew nothing of loudness."""
    return {**payload, "loud": payload["words"].isupper()}


@pytest.fixture
def thrice(monkeypatch) -> Kind:
    upcasters = (first_to_second, second_to_third)
    kind = Kind("thrice", TwicePayload, CREW, said, NEVER, upcasters)
    monkeypatch.setitem(KINDS, "thrice", kind)
    return kind


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("version", "payload"),
    [
        (1, {"text": "STOP"}),
        (2, {"words": "STOP"}),
        (3, {"words": "STOP", "loud": True}),
        (None, {"words": "STOP", "loud": True}),
    ],
)
def test_what_an_older_version_wrote_is_brought_up_to_todays(thrice, tuner, version, payload):
    act = act_apply(act_id=uuid.uuid4(), kind="thrice", version=version, payload=payload, by=tuner)
    assert (act.outcome, act.answer["text"]) == ("applied", "STOP!")
    act.refresh_from_db()
    assert (act.version, act.payload) == (3, {"words": "STOP", "loud": True})


def test_an_act_kept_under_an_older_version_is_read_in_todays(thrice):
    kept = Act(kind="thrice", version=1, payload={"text": "STOP"})
    assert payload_of(kept) == {"words": "STOP", "loud": True}
    assert kept.payload == {"text": "STOP"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("version", "payload", "reason"),
    [
        (4, {"words": "STOP"}, "Version 4 of “thrice” is not known here."),
        (1, {"words": "STOP"}, "This is not what version 1 of “thrice” holds."),
        (2, {"words": 7}, "This is not what version 2 of “thrice” holds."),
    ],
)
def test_what_its_version_does_not_hold_is_refused_and_kept_as_it_came(
    thrice, tuner, version, payload, reason
):
    act = act_apply(act_id=uuid.uuid4(), kind="thrice", version=version, payload=payload, by=tuner)
    assert (act.outcome, act.answer["text"]) == ("refused", reason)
    act.refresh_from_db()
    assert (act.version, act.payload) == (version, payload)


def test_a_form_of_an_older_version_is_read_by_the_reader_of_its_time(thrice, monkeypatch):
    monkeypatch.setitem(READERS, ("thrice", 1), lambda form: {"text": form.get("said")})
    fields = MultiValueDict({"said": ["STOP"], "words": ["stop"], "loud": ["true"]})
    form = PostedForm(uuid.uuid4(), fields, {})
    assert form_payload("thrice", 1, form) == {"text": "STOP"}
    assert form_payload("thrice", 3, form) == {"words": "stop", "loud": "true"}


def test_of_another_version_than_todays_every_field_is_personal(thrice):
    assert personal_fields("thrice", 3) == {"words"}
    assert personal_fields("thrice", 1) is EVERY_FIELD


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_id_of_a_row_says_of_which_table_it_is(kind):
    ids = [
        path
        for path, field in fields_of(KINDS[kind].payload())
        if isinstance(field, serializers.UUIDField | serializers.PrimaryKeyRelatedField)
        or (
            path.rpartition(".")[2] in ("entry", "bike", "adjuster", "gauge", "to")
            and isinstance(field, serializers.IntegerField)
        )
    ]
    fields = dict(fields_of(KINDS[kind].payload()))
    assert [path for path in ids if not tables_named(fields[path])] == []


def test_what_is_taken_back_by_its_act_is_undone_by_a_function(thrice):
    by_their_act = {name for name, kind in KINDS.items() if kind.taken_back.act is not None}
    assert {"tick", "delay", "arrived", "crash", "pin"} <= by_their_act
    assert KINDS["change"].taken_back is BY_ROW
    assert KINDS["walk-up"].taken_back is NEVER
