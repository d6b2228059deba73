"""How much of a body is kept is decided by who sends it, before it is read: counted in bytes."""

import asyncio
import io
import json

import pytest
from django.conf import settings
from django.db import OperationalError
from django.test import Client

from jobs.acts import tablets
from jobs.people import devices
from paddock import body_bounds, truncated_bodies
from paddock.body_bounds import CUSTOMER, OF_THE_BUSINESS, STRANGER
from paddock.truncated_bodies import CompleteRequests, pass_complete_request

pytestmark = pytest.mark.django_db(transaction=True)


class Counted(io.RawIOBase):
    """A body of so many bytes that no memory holds; what is read of it is counted."""

    def __init__(self, length: int) -> None:
        self.left, self.read_bytes = length, 0

    def read(self, size: int = -1) -> bytes:
        size = min(self.left, size if size >= 0 else self.left)
        self.left -= size
        self.read_bytes += size
        return b"a" * size


class Kept:
    """Instead of the file a body is kept in: counts what is written."""

    def __init__(self) -> None:
        self.written = 0

    def __call__(self, _memory: int) -> "Kept":
        return self

    def __enter__(self) -> "Kept":
        return self

    def __exit__(self, *_error: object) -> None:
        return None

    def write(self, piece: bytes) -> None:
        self.written += len(piece)

    def seek(self, _place: int) -> None:
        return None

    def read(self, _size: int = -1) -> bytes:
        return b""


@pytest.fixture
def kept(monkeypatch) -> Kept:
    found = Kept()
    monkeypatch.setattr(truncated_bodies, "SpooledTemporaryFile", found)
    return found


def over_wsgi(length: int, cookies: str = "", *, act: bool = False) -> tuple[int, bytes]:
    said: list[str] = []

    def pages(environ, start_response):
        start_response("200 OK", [])
        return [b"a page"]

    environ = {"wsgi.input": Counted(length), "CONTENT_LENGTH": str(length), "HTTP_COOKIE": cookies}
    environ |= {"REQUEST_METHOD": "POST", "PATH_INFO": "/"}
    environ |= {"HTTP_X_ACT_ID": "1"} if act else {}
    body = b"".join(CompleteRequests(pages)(environ, lambda code, headers: said.append(code)))
    return int(said[0].split()[0]), body


def over_asgi(
    length: int, cookies: str = "", *, act: bool = False, says_length: bool = True
) -> tuple[int, bytes]:
    source, said = Counted(length), []

    async def receive():
        piece = source.read(truncated_bodies.PIECE)
        return {"type": "http.request", "body": piece, "more_body": source.left > 0}

    async def send(message):
        said.append(message)

    async def pages(_scope, _receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"a page"})

    headers = [(b"cookie", cookies.encode())]
    headers += [(b"content-length", str(length).encode())] if says_length else []
    headers += [(b"x-act-id", b"1")] if act else []
    scope = {"type": "http", "method": "POST", "path": "/", "headers": headers}
    asyncio.run(pass_complete_request(pages, scope, receive, send))
    return said[0]["status"], said[1]["body"]


BOTH = pytest.mark.parametrize("over", [over_wsgi, over_asgi])


def session_of(user) -> str:
    client = Client()
    client.force_login(user)
    return f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}"


@BOTH
@pytest.mark.parametrize("length", [STRANGER + 1, 439 * 1024 * 1024])
def test_of_a_strangers_long_body_64_kb_are_kept_at_most(over, length, kept):
    status, words = over(length)
    assert (status, kept.written <= STRANGER) == (413, True)
    assert b"Sign in, and send it again" in words


def test_a_body_that_says_no_length_is_counted_as_it_comes(kept):
    assert over_asgi(4 * STRANGER, says_length=False)[0] == 413
    assert kept.written <= STRANGER


@BOTH
def test_a_stranger_may_send_64_kb_and_the_database_is_not_asked(over, monkeypatch):
    monkeypatch.setattr(body_bounds, "device_of", None)
    assert over(STRANGER, "anything=1")[0] == 200


@BOTH
def test_a_cookie_nobody_has_is_a_strangers(over):
    cookies = f"{settings.SESSION_COOKIE_NAME}=made-up; {tablets.COOKIE}=made.up"
    assert over(STRANGER + 1, cookies)[0] == 413


@BOTH
def test_each_role_may_send_what_it_has_to_send(over, cast, kept):
    for user, most in (
        (cast.tuner, OF_THE_BUSINESS), (cast.helper, OF_THE_BUSINESS),
        (cast.office, OF_THE_BUSINESS), (cast.customer_a, CUSTOMER),
    ):  # fmt: skip
        cookies = session_of(user)
        assert (over(most, cookies)[0], over(most + 1, cookies)[0]) == (200, 413), user


@pytest.fixture
def yellow(cast):
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    return device, f"{tablets.COOKIE}={device.pk}.{secret}"


@BOTH
def test_an_enrolled_tablet_sends_photos_also_when_its_session_has_ended(over, yellow, kept):
    device, cookie = yellow
    assert over(OF_THE_BUSINESS, cookie, act=True)[0] == 200
    status, said = over(OF_THE_BUSINESS + 1, cookie, act=True)
    assert (status, json.loads(said)["outcome"]) == (413, "refused")
    assert "22 MB at most" in json.loads(said)["text"]
    device.shut_out_at = device.enrolled_at
    device.save()
    assert over(STRANGER + 1, cookie)[0] == 413


@BOTH
def test_an_act_with_a_photo_waits_until_its_author_has_signed_in_again(over, kept):
    status, said = over(STRANGER + 1, act=True)
    assert (status, json.loads(said)["outcome"]) == (401, "sign in")


@BOTH
def test_while_the_database_is_away_a_long_act_waits(over, yellow, monkeypatch):
    def away(cookie):
        raise OperationalError("the connection is closed")

    monkeypatch.setattr(body_bounds, "device_of", away)
    status, said = over(STRANGER + 1, yellow[1], act=True)
    assert (status, json.loads(said)["outcome"]) == (503, "waits")
