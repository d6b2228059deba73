"""Inputs that nobody means well: acts, lists, model sheets, a bank's files, findings' texts and
pictures, thousands of each.

Whatever is sent is refused in words or wholly done: no answer is a 500, and what is refused has
written nothing beside the refused act itself. The first input that is answered otherwise is
printed with its seed, by which it can be made again.
"""

import io
import json
import random
import uuid
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from lxml import html
from PIL import Image
from rest_framework import serializers

from jobs.acts.registry import KINDS

from .bench_days import BenchDay, bench_database, bench_day, bench_settings
from .fuzz_files import BANK, FINDINGS, LISTS, FileDoor

ODD_VALUES: tuple[Any, ...] = (
    None, True, "", " ", "0", "-1", "1e999", "NaN", "\0", "a\0b", "\ud800", "x" * 5000, 2**31,
    2**64, -(10**30), 1.5, [], {}, [[]], {"a": {"a": []}}, "0001-01-01T00:00:00",
    "9999-12-31T23:59:59-12:00", "10:99", "2026-02-30", "<script>alert(1)</script>",
    "'; DROP TABLE acts_act; --", "٣", "½", "🏍" * 50,
)  # fmt: skip
ODD_BYTES = (
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b'"',
    b";",
    b"\r",
    b"\n\n",
    b"PK\x03\x04",
    b"=1+1",
    b",,",
    b"1e9999",
    b"\\u0000",
    b"\\ud800",
    b"\xc2\xb2",  # a digit that is no number
    b"[" * 5000,
)
KINDS_OF_INPUT = {"act": 70, "list": 10, "bank file": 8, "findings": 4, "picture": 8}
# An act that is refused is kept; a session may be renewed with any request.
WRITTEN_ANYWAY = {"acts_act", "django_session"}


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--inputs", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)


class Broken(Exception):
    """An input that was neither refused in words nor wholly done."""


def run(say: Callable[[str], None], *, inputs: int, seed: int, **options: object) -> None:
    with bench_database(), bench_settings():
        fuzzed = Fuzzed(bench_day(bikes=3), random.Random(seed))  # noqa: S311 - inputs, no secret
        counted: Counter[str] = Counter()
        for number in range(inputs):
            try:
                counted[fuzzed.one()] += 1
            except Broken as fault:
                raise SystemExit(f"input {number} of seed {seed}: {fault}") from fault
    for name, count in sorted(counted.items()):
        say(f"{count:6} {name}")
    say(f"{connection.vendor}: {sum(counted.values())} inputs, no 500, nothing half written")


@dataclass
class Fuzzed:
    """A day whose doors are tried, one input after the other."""

    day: BenchDay
    chance: random.Random

    def __post_init__(self) -> None:
        self.browser = Client(SERVER_NAME="127.0.0.1", raise_request_exception=False)
        self.browser.force_login(self.day.tuner)
        self.picture = _jpeg()

    def one(self) -> str:
        """Send one input and check what became of it. Returns what it was, in words."""
        kinds, weights = list(KINDS_OF_INPUT), list(KINDS_OF_INPUT.values())
        kind = self.chance.choices(kinds, weights)[0]
        before = _rows()
        done = {
            "act": self.act,
            "list": lambda: self.file(self.chance.choice(LISTS)),
            "bank file": lambda: self.file(self.chance.choice(BANK)),
            "findings": lambda: self.file(self.chance.choice(FINDINGS)),
            "picture": self.upload,
        }[kind]()
        if not done and (more := _grown(before, _rows())):
            raise Broken(f"a refused {kind} left rows in {', '.join(more)}")
        return f"{kind}: {'done' if done else 'refused in words'}"

    def act(self) -> bool:
        name = self.chance.choice(sorted(KINDS))
        payload = self._payload(KINDS[name].payload())
        act = {"id": str(uuid.uuid4()), "kind": name, "payload": payload}
        if self.chance.random() < 0.05:
            act[self.chance.choice(("id", "kind", "payload", "seq", "done_at", "version"))] = (
                self._odd()
            )
        body = json.dumps({"acts": [act]})
        answer = self.browser.post(reverse("api:acts"), body, content_type="application/json")
        said = f"act {body}"
        if answer.status_code == HTTPStatus.BAD_REQUEST:
            return False
        self._check(answer, said)
        (one,) = answer.json()["answers"]
        if one["outcome"] not in ("applied", "unplaced", "refused") or not one["text"]:
            raise Broken(f"{said} was answered {one}")
        return bool(one["outcome"] != "refused")

    def _payload(self, serializer: serializers.Serializer[Any]) -> dict[str, Any]:
        """Each field right, odd or left out: mostly right, so that much is applied."""
        odd = self.chance.choice((0.0, 0.05, 0.3))
        found = {}
        for name, one in serializer.fields.items():
            if self.chance.random() < odd:
                found[name] = self._odd()
            elif one.required or self.chance.random() < 0.5:
                found[name] = self._right(name, one)
        return found

    def _right(self, name: str, one: serializers.Field[Any, Any, Any, Any]) -> Any:
        """Something of the field's own kind."""
        if isinstance(one, serializers.PrimaryKeyRelatedField):
            queryset = one.get_queryset()
            keys = list(queryset.values_list("pk", flat=True)[:9]) if queryset is not None else []
            return str(self.chance.choice(keys)) if keys else str(uuid.uuid4())
        if isinstance(one, serializers.BaseSerializer):
            return self._nested(one)
        if isinstance(one, serializers.ListField):
            return [self._right(name, one.child) for _ in range(self.chance.randint(1, 3))]
        if isinstance(one, serializers.ChoiceField):
            return self.chance.choice(list(one.choices) or [""])
        if isinstance(one, serializers.BooleanField):
            return self.chance.random() < 0.5
        if isinstance(one, serializers.IntegerField | serializers.DecimalField):
            return str(self.chance.choice((0, 1, 2, 5, 12, 20, 90, 220)))
        if isinstance(one, serializers.DateTimeField):
            return f"2026-06-13T{self.chance.randint(8, 18):02}:15:00Z"
        if isinstance(one, serializers.UUIDField):
            return str(uuid.uuid4())
        return self.chance.choice(
            ("words", "rear pumps at the exit", "12", str(self.day.entries[0].pk))
        )

    def _nested(self, one: serializers.BaseSerializer[Any]) -> Any:
        if isinstance(one, serializers.ListSerializer):
            child: Any = one.child
            return [self._nested(child) for _ in range(self.chance.randint(1, 3))]
        assert isinstance(one, serializers.Serializer)
        return self._payload(one)

    def _odd(self) -> Any:
        return self.chance.choice(ODD_VALUES)

    def file(self, door: FileDoor) -> bool:
        """A file or a text. What it says may be shown first, which writes nothing: the page's own
        form is then sent, as it stands or spoiled, and so once more."""
        content = self._spoiled(door.content())
        other = self.chance.choice((door.name, "a.csv", "a.xlsx", "a.ods", "a.xls", "a.json"))
        name = other if self.chance.random() < 0.3 else door.name
        given: dict[str, Any] = {door.field: content.decode(errors="replace")}
        if door.field == "file":
            given = {door.field: SimpleUploadedFile(name, content)}
        address = reverse(door.view, args=[self.day.trackday.pk] if door.is_of_a_day else [])
        for _page in range(3):
            answer = self.browser.post(address, given)
            self._check(answer, f"{door.view} with {name} {content[:200]!r} {str(given)[:500]}")
            given = _form_of(answer.content)
            if answer.status_code != HTTPStatus.OK or not given:
                break
            if self.chance.random() < 0.5:
                spoiled = self.chance.choice(list(given))
                given[spoiled] = self._spoiled(given[spoiled].encode()).decode(errors="replace")
        return answer.status_code == HTTPStatus.FOUND

    def upload(self) -> bool:
        content = self._spoiled(self.picture)
        form = {
            "photo": SimpleUploadedFile("a.jpg", content, "image/jpeg"),
            "subject": self.chance.choice(("bike", "tyre", "damage", "none")),
            "end": self.chance.choice(("front", "rear", "", "side")),
            "act_id": self.chance.choice((str(uuid.uuid4()), "no id")),
        }
        before = _rows()
        address = reverse("board:sheet-photos", args=[self.day.entries[0].pk])
        answer = self.browser.post(address, form)
        self._check(answer, f"a picture {content[:100]!r} as {form['subject']}")
        return "files_photo" in _grown(before, _rows())

    def _spoiled(self, content: bytes) -> bytes:
        """Cut short, bytes changed or put in, a part twice; sometimes as it was."""
        kept = bytearray(content)
        for _ in range(self.chance.randint(0, 6)):
            at = self.chance.randrange(len(kept) or 1)
            way = self.chance.randrange(4)
            if way == 0:
                kept[at : at + 1] = self.chance.choice(ODD_BYTES)
            elif way == 1:
                kept[at : at + 1] = bytes([self.chance.randrange(256)])
            elif way == 2:
                kept = kept[:at] or kept
            else:
                kept += kept[at : at + 200]
        return bytes(kept)

    def _check(self, answer: Any, said: str) -> None:
        if answer.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            raise Broken(f"{said} was answered {answer.status_code}")


def _jpeg() -> bytes:
    out = io.BytesIO()
    Image.effect_noise((64, 48), 60).save(out, "JPEG")
    return out.getvalue()


def _form_of(page: bytes) -> dict[str, str]:
    """The fields of the page that shows how a list is read, with the button that takes it in."""
    for form in html.fromstring(page).forms if page else ():
        found = {name: str(value or "") for name, value in form.form_values()}
        found |= {one.get("name"): one.get("value", "") for one in form.xpath(".//button[@name]")}
        if "book" in found:
            return found
    return {}


def _rows() -> dict[str, int]:
    """How many rows each table has: one statement."""
    quote = connection.ops.quote_name
    tables = [model._meta.db_table for model in apps.get_models()]
    counts = ", ".join(f"(SELECT count(*) FROM {quote(table)})" for table in tables)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {counts}")
        return dict(zip(tables, cursor.fetchone(), strict=True))


def _grown(before: dict[str, int], after: dict[str, int]) -> list[str]:
    """The tables with more or fewer rows than before."""
    return [name for name in after if after[name] != before[name] and name not in WRITTEN_ANYWAY]
