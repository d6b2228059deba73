"""Whatever an act contains it is refused by the name of its field or done, and can be given away.

The acts are those recorded in ``corpus``: every field of every kind is given each value that
no column, no calendar and no export can take.
"""

import json
import uuid
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
from django.test import Client

from jobs.acts.models import Act
from jobs.acts.registry import KINDS
from jobs.acts.services import act_apply
from jobs.acts.storable import MOST_VALUES, storable

from .corpus_day import corpus_day_complete, named, names_of
from .test_corpus import RECORDED

pytestmark = pytest.mark.django_db

HOSTILE = {
    "NUL": "a\0b",
    "half of a pair": "\ud800",
    "a number past 64 bits": 2**64,
    "a number of 300 digits": 10**300,
    "no end": float("inf"),
    "year 1": "0001-01-01T00:00:00",
    "year 9999": "9999-12-31T23:59:59-12:00",
    "a text without end": "x" * 20000,
    "a list": [[]],
    "a number for 32 bits": 2**31,
}
PLAIN = {"year 1", "year 9999"}  # a text may say so


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where each value stands in a payload: names and numbers, outermost first."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield (*path, name)
            yield from places(one, (*path, name))
    elif isinstance(value, list):
        for number, one in enumerate(value[:1]):
            yield from places(one, (*path, number))


def with_value(payload: dict[str, Any], path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    changed = deepcopy(payload)
    inner = changed
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    return changed


def newest(kind: str) -> dict[str, Any]:
    """The recorded example of the kind's version of today that has the most fields."""
    of_kind = [
        one for one in RECORDED if (one["kind"], one["version"]) == (kind, KINDS[kind].version)
    ]
    examples = [one for recorded in of_kind for one in recorded["examples"] if one.get("payload")]
    return max(examples, key=lambda one: len(one["payload"]))


def every_field(kind: str, example: dict[str, Any]) -> list[tuple[Any, ...]]:
    """Also those that the example leaves out."""
    payload = example["payload"]
    left_out = [(name,) for name in KINDS[kind].payload().fields if name not in payload]
    return [*places(payload), *left_out]


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_field_of_any_act_fails_on_what_it_is_given(kind, day, cast):
    corpus_day_complete(day, cast)
    example, names = newest(kind), names_of(day, cast)
    by = getattr(cast, example["by"])
    payload = named(example["payload"], names)
    for path in every_field(kind, example):
        for name, value in HOSTILE.items():
            act = act_apply(
                act_id=uuid.uuid4(), kind=kind, payload=with_value(payload, path, value), by=by,
                trackday=day.trackday,
            )  # fmt: skip
            said = act.answer["text"]
            assert act.outcome in ("applied", "unplaced", "refused"), (path, name)
            if name in ("NUL", "half of a pair", "no end", "a number of 300 digits"):
                assert act.outcome == "refused", (path, name)
                field = [step for step in path if isinstance(step, str)][-1]
                assert f"{field.replace('_', ' ')}: " in said, (path, name, said)
    for kept in Act.objects.values_list("payload", "answer"):
        json.dumps(kept, ensure_ascii=False, allow_nan=False).encode()


@pytest.mark.parametrize("clock", ["planned_start", "start", "end"])
def test_a_year_at_the_calendars_end_is_named(clock, day, tuner):
    payload = {
        "planned_start": ("session added", {"group": day.groups[0].pk, "minutes": 20}),
        "start": ("lunch", {"end": "2026-06-13T13:00:00+02:00"}),
        "end": ("lunch", {"start": "2026-06-13T12:00:00+02:00"}),
    }
    kind, given = payload[clock]
    if kind == "lunch":
        given |= {"trackday": day.trackday.pk, "least_minutes": 30}
    for year in ("0001-01-01T00:00:00", "9999-12-31T23:59:59Z", "1999-12-31T12:00:00Z"):
        act = act_apply(
            act_id=uuid.uuid4(), kind=kind, payload={**given, clock: year}, by=tuner,
            trackday=day.trackday,
        )  # fmt: skip
        name = clock.replace("_", " ")
        assert act.answer["text"] == f"{name}: the year must be from 2000 to 2099."


def test_a_kind_and_a_version_that_no_column_holds_are_refused_and_kept(day, tuner):
    for kind, version in (("\0", 1), ("\ud800" * 3, 1), ("x" * 900, 1), ("arrived", 2**40)):
        act = act_apply(
            act_id=uuid.uuid4(), kind=kind, version=version, by=tuner,
            payload={"entry": day.entries[0].pk},
        )  # fmt: skip
        act.refresh_from_db()
        assert act.outcome == "refused"


def test_what_can_be_kept_stays_as_it_was_sent():
    sent = {"words": "Brünn 😀", "n": [1, 2.5, None, True], "of": {"a": "b"}}
    assert (storable(sent).value, storable(sent).faults) == (sent, [])


def test_what_is_too_deep_or_too_much_is_said():
    deep: Any = "x"
    for _level in range(40):
        deep = {"in": deep}
    assert storable({"words": deep}).faults == ["in: This is nested too deep."]
    much = storable({"rows": list(range(MOST_VALUES))})
    assert (much.value, "more than 5000 values" in much.faults[0]) == ({}, True)


def test_half_of_a_surrogate_pair_from_a_tablet_is_refused_by_name_and_exported(
    day, helper, tuner, signed_in
):
    client: Client = signed_in(helper)
    act_id = str(uuid.uuid4())
    entry = day.entries[0].pk
    text = '{"kind": "finding", "version": 1, "trackday": %d, "payload": {"entry": "%d", '
    body = text % (day.trackday.pk, entry) + '"words": "\\ud800"}}'
    headers = {"Accept": "application/json", "X-Act-Id": act_id, "X-Act-User": helper.username}
    answer = client.post("/tablet/act/", {"act": body}, headers=headers)
    assert answer.json()["outcome"] == "refused"
    assert answer.json()["text"].startswith("words: This has a character that cannot be kept")
    assert Act.objects.get(pk=act_id).payload["words"] == "\N{REPLACEMENT CHARACTER}"
    assert b"".join(signed_in(tuner).get("/api/export/").streaming_content)
