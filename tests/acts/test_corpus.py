"""Recorded acts of every kind and version, played again for ever.

``corpus/KIND.VERSION.json`` holds what was recorded when that version was new: the fields of
the payload, and examples, each with what a page posted (``address``, ``fields``), the payload
it was read into, and what became of the act. Examples of that version recorded later are in
``KIND.VERSION.WHAT.json``. ``before`` are acts that an example needs; ``given`` names what
else must be so on its day (``GIVEN`` in ``corpus_day.py``).
An example without a payload was refused by its form. A file is never edited: a change of a
payload is a new version of its kind (``upcasters`` in its registration), recorded beside it.
"""

import json
import uuid
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.acts.describing import payload_described
from jobs.acts.models import Act
from jobs.acts.registry import KINDS
from jobs.acts.services import act_apply
from jobs.trackday.models import Trackday
from tests.days import local
from tests.photos import photo_kept
from tests.shape.source import ROOT

from .corpus_day import GIVEN, act_id, corpus_day_complete, named, names_of, picture
from .doing import clock_set

FOLDER = ROOT / "tests" / "acts" / "corpus"
RECORDED = [json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json"))]
EXAMPLES = [(kind, example) for kind in RECORDED for example in kind["examples"]]


def each(examples: list[tuple[Any, Any]]) -> pytest.MarkDecorator:
    ids = [f"{kind['kind']} {kind['version']}: {example['name']}" for kind, example in examples]
    return pytest.mark.parametrize(("recorded", "example"), examples, ids=ids)


EACH = each(EXAMPLES)


@dataclass
class Replay:
    """A day on which everything stands that an example needs."""

    day: Any
    cast: Any
    names: dict[str, int]

    @property
    def trackday(self) -> Trackday:
        return Trackday.objects.select_related("venue").get(pk=self.day.trackday.pk)

    def prepare(self, example: dict[str, Any]) -> None:
        if "given" in example:
            GIVEN[example["given"]](self.day)
        for act in example.get("before", []):
            self.clock(act)
            assert self.apply(act["name"], act, version=1).outcome != "refused"
        self.clock(example)

    def clock(self, act: dict[str, Any]) -> None:
        if "at" in act:
            clock_set(self.trackday, local(*map(int, act["at"].split(":"))))

    def apply(self, name: str, act: dict[str, Any], version: int) -> Act:
        return act_apply(
            act_id=act_id(name),
            kind=act["kind"],
            version=version,
            payload=named(act["payload"], self.names),
            by=getattr(self.cast, act["by"]),
            trackday=self.trackday,
        )

    def files(self, example: dict[str, Any]) -> dict[str, SimpleUploadedFile]:
        name = example.get("file")
        return {name: SimpleUploadedFile("seen.jpg", picture(), "image/jpeg")} if name else {}


@pytest.fixture
def replay(day, cast) -> Replay:
    corpus_day_complete(day, cast)
    return Replay(day, cast, names_of(day, cast))


def sent_headers(by: str) -> dict[str, str]:
    """As a tablet's queue sends them."""
    return {"Accept": "application/json", "X-Act-Id": str(act_id("own")), "X-Act-User": by}


def as_text(value: Any) -> Any:
    """Ids may be numbers or text: both name the same row."""
    if isinstance(value, dict):
        return {key: as_text(one) for key, one in value.items()}
    if isinstance(value, list):
        return [as_text(one) for one in value]
    return str(value) if type(value) is int else value


# A change by order has the order's, where it says none of its own: empty is not left out.
SAYS_EMPTY = ("expectation", "condition")


def filled(payload: dict[str, Any], says_empty: tuple[str, ...]) -> dict[str, Any]:
    """Without what is empty, which is the same as left out, but for ``says_empty``."""
    return {
        name: value
        for name, value in payload.items()
        if name in says_empty or value not in (None, "", False)
    }


def same_words(said: str, recorded: str) -> bool:
    """A form may write the name of its field with a capital or without."""
    return said.casefold() == recorded.casefold()


@each([one for one in EXAMPLES if "payload" in one[1]])
@pytest.mark.django_db
def test_a_recorded_payload_has_the_outcome_it_had(replay, recorded, example):
    replay.prepare(example)
    for upload in replay.files(example).values():
        photo_kept(photo_id=uuid.uuid5(act_id("own"), "photo"), upload=upload)
    act = {**example, "kind": recorded["kind"]}
    done = replay.apply("own", act, version=recorded["version"])
    assert (done.outcome, done.answer["text"]) == (example["outcome"], example["text"])


@EACH
@pytest.mark.django_db
def test_what_a_page_queued_as_address_and_fields_is_applied(replay, signed_in, recorded, example):
    """As tablets kept it before acts had kinds; the page at that address reads it."""
    replay.prepare(example)
    answer = signed_in(getattr(replay.cast, example["by"])).post(
        named(example["address"], replay.names),
        {**named(example["fields"], replay.names), **replay.files(example)},
        headers=sent_headers(example["by"]),
    )
    assert_told_and_kept(answer.json(), recorded, example)
    assert_read_as_recorded(replay, recorded, example)


@EACH
@pytest.mark.django_db
def test_what_a_tablet_kept_as_kind_version_and_payload_is_applied(
    replay, signed_in, recorded, example
):
    replay.prepare(example)
    kept = {
        "kind": recorded["kind"],
        "version": recorded["version"],
        "payload": kept_fields(example, replay),
        "trackday": replay.day.trackday.pk,
    }
    answer = signed_in(getattr(replay.cast, example["by"])).post(
        "/tablet/act/",
        {"act": json.dumps(kept), **replay.files(example)},
        headers=sent_headers(example["by"]),
    )
    assert_told_and_kept(answer.json(), recorded, example)
    assert_read_as_recorded(replay, recorded, example)


def assert_told_and_kept(said: dict[str, Any], recorded: Any, example: dict[str, Any]) -> None:
    act = Act.objects.get(pk=act_id("own"))
    assert (said["outcome"], said["text"]) == (example["outcome"], act.answer["text"])
    assert same_words(said["text"], example["text"])
    if "payload" in example:
        assert (act.kind, act.outcome) == (recorded["kind"], example["outcome"])
    else:
        assert (act.kind, act.outcome) == ("form", "refused")


def assert_read_as_recorded(replay: Replay, recorded: Any, example: dict[str, Any]) -> None:
    """The form's fields became the payload that was recorded."""
    if "payload" not in example or recorded["version"] != KINDS[recorded["kind"]].version:
        return
    payload = Act.objects.get(pk=act_id("own")).payload
    said = SAYS_EMPTY if recorded["kind"] == "change" else ()
    expected = named(example["payload"], replay.names)
    assert as_text(filled(payload, said)) == as_text(filled(expected, said))


def kept_fields(example: dict[str, Any], replay: Replay) -> dict[str, str]:
    """The fields of the form on today's page: with what it is about beside what is entered."""
    return named({**example.get("about", {}), **example["fields"]}, replay.names)


def test_every_kind_is_recorded_in_every_version():
    expected = {
        (name, version) for name, kind in KINDS.items() for version in range(1, kind.version + 1)
    }
    assert {(one["kind"], one["version"]) for one in RECORDED} == expected


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_payload_that_changes_is_a_new_version(kind):
    """Choices, limits and help may change: what was written before is read as it was."""
    newest = [
        one["fields"]
        for one in RECORDED
        if (one["kind"], one["version"]) == (kind, KINDS[kind].version)
    ]
    assert [shape_of(payload_described(KINDS[kind]))] * len(newest) == newest, (
        f"the payload of {kind!r} is not the one recorded: give it a version of its own, "
        "with an upcaster, and record it beside the one before"
    )


def shape_of(fields: dict[str, Any]) -> dict[str, Any]:
    """Names and types, down into lists."""
    kept = ("type", "required", "names")
    return {
        name: {
            **{key: field[key] for key in kept if key in field},
            **({"of": _inner(field["of"])} if "of" in field else {}),
        }
        for name, field in fields.items()
    }


def _inner(described: dict[str, Any]) -> Any:
    one_field = isinstance(described.get("type"), str)
    return shape_of({"": described})[""] if one_field else shape_of(described)
