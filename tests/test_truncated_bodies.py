"""A request that breaks off is no shorter request: nothing is read from it, nothing written."""

import contextlib
import io
import socket
import time
import uuid
from collections.abc import Iterator

import pytest

from jobs.acts import tablets
from jobs.acts.models import Act
from jobs.people import devices
from jobs.worklist.models import Hold
from paddock import truncated_bodies
from paddock.truncated_bodies import PIECE, CompleteRequests

from .days import day_build

LONG = b"a" * (2 * PIECE + 7)


@pytest.fixture(autouse=True)
def _sender_may_send_it(monkeypatch):
    """Who may send how much: tests/test_body_bounds.py."""
    monkeypatch.setattr(truncated_bodies, "most_bytes", lambda head: len(LONG))


def answered(body: bytes, length: str | None) -> tuple[str, list[bytes]]:
    """The status, and what the pages behind it read."""
    read, status = [], []

    def pages(environ, start_response):
        read.append(environ["wsgi.input"].read())
        start_response("200 OK", [])
        return [b""]

    environ = {"wsgi.input": io.BytesIO(body), "CONTENT_LENGTH": length}
    environ |= {"REQUEST_METHOD": "POST", "PATH_INFO": "/"}
    list(CompleteRequests(pages)(environ, lambda code, headers: status.append(code)))
    return status[0], read


@pytest.mark.parametrize("body", [b"a", LONG])
def test_what_is_whole_is_handed_on_as_it_is(body):
    assert answered(body, str(len(body))) == ("200 OK", [body])


@pytest.mark.parametrize("length", [None, "", "0", "many"])
def test_what_says_no_length_is_left_to_the_pages(length):
    assert answered(b"", length) == ("200 OK", [b""])


@pytest.mark.parametrize("there", [0, 1, PIECE, len(LONG) - 1])
def test_what_broke_off_reaches_no_page(there):
    assert answered(LONG[:there], str(len(LONG))) == ("400 Bad Request", [])


def request_of(entry, tablet: str, user, device, act_id: uuid.UUID) -> tuple[bytes, bytes]:
    """Head and body of a hold as a tablet sends it."""
    body = f"act_id={act_id}&words=fork+weeps".encode()
    head = [
        f"POST /bikes/{entry.pk}/act/hold/ HTTP/1.1",
        "Host: 127.0.0.1",
        f"Cookie: {tablets.COOKIE}={tablet}; csrftoken={'a' * 32}",
        f"X-CSRFToken: {'a' * 32}",
        f"X-Act-Id: {act_id}",
        "X-Act-Seq: 1",
        f"X-Act-Pass: {devices.pass_make(user=user, device=device)}",
        f"X-Act-User: {user.username}",
        "Content-Type: application/x-www-form-urlencoded",
        f"Content-Length: {len(body)}",
        "Connection: close",
    ]
    return "\r\n".join([*head, "", ""]).encode(), body


@contextlib.contextmanager
def sent(port: int, *pieces: bytes) -> Iterator[socket.socket]:
    """A line on which these went out one after the other; at the end it is cut."""
    with socket.create_connection(("127.0.0.1", port), 20) as line:
        for piece in pieces:
            line.sendall(piece)
            time.sleep(0.1)  # so that they do not arrive as one
        yield line


@pytest.mark.django_db(transaction=True)
def test_an_act_whose_request_broke_off_is_applied_when_it_comes_whole(cast, served):
    entry = day_build(bikes=1).entries[0]
    devices.pin_set(user=cast.helper, pin="4711")
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    act_id = uuid.uuid4()
    head, body = request_of(entry, f"{device.pk}.{secret}", cast.helper, device, act_id)
    for pieces in ([head], [head, body[:10]], [head, body[:-1]]):
        with sent(served.port, *pieces):
            pass
    with sent(served.port, head, body[:10], body[10:]) as line:
        answer = line.makefile("rb").read()
    assert b'"applied"' in answer, answer
    assert Act.objects.get().pk == act_id  # what broke off before has left nothing
    assert Hold.objects.get().words == "fork weeps"
