"""Two page processes, the live stream and a worker, as our units start them, behind nginx."""

import http.client
import json
import socket
import time
import uuid
from collections.abc import Callable

import pytest
import redis
from django.conf import settings
from django.db import connection
from django.urls import reverse

from jobs.outbox.models import Job
from jobs.outbox.services import mail_enqueue
from jobs.trackday.models import Delay
from tests import needs
from tests.alone import worker_index
from tests.days import day_build
from tests.mail_servers import mail_server
from tests.outbox.processes import until

from .stack import HOST, Stack

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgresql,
    pytest.mark.redis,
    pytest.mark.nginx,
    pytest.mark.slow,
]


@pytest.fixture
def letters():
    with mail_server() as taken:
        yield taken


@pytest.fixture
def stack(tmp_path, letters):
    address = f"{needs.redis_url().rsplit('/', 1)[0]}/{15 - worker_index()}"
    redis.Redis.from_url(address).flushdb()
    running = Stack(tmp_path, redis_url=address, mail_port=letters.port)
    try:
        running.start()
        yield running
    finally:
        running.stop()
        with connection.cursor() as cursor:  # what was killed left its connections
            cursor.execute(
                "select pg_terminate_backend(pid) from pg_stat_activity"
                " where datname = current_database() and pid <> pg_backend_pid()"
            )


class Through:
    """A signed-in person's browser, through the proxy or straight to one process."""

    def __init__(self, client, port: int) -> None:
        self.port = port
        self.cookies = {settings.SESSION_COOKIE_NAME: client.cookies["sessionid"].value}

    def headers(self) -> dict[str, str]:
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        return {
            "Host": HOST, "Cookie": cookies, "Referer": f"https://{HOST}/",
            "X-Forwarded-Proto": "https", "X-CSRFToken": self.cookies.get("csrftoken", ""),
        }  # fmt: skip

    def get(self, path: str) -> tuple[int, str]:
        return self._ask("GET", path)

    def post(self, path: str, **fields: str) -> tuple[int, str]:
        return self._ask("POST", path, "&".join(f"{k}={v}" for k, v in fields.items()))

    def _ask(self, method: str, path: str, body: str = "") -> tuple[int, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            form = {"Content-Type": "application/x-www-form-urlencoded"} if body else {}
            line.request(method, path, body or None, {**self.headers(), **form})
            answer = line.getresponse()
            for name, value in answer.getheaders():
                if name.lower() == "set-cookie":
                    key, _, rest = value.partition("=")
                    self.cookies[key] = rest.partition(";")[0]
            return answer.status, answer.read().decode()
        finally:
            line.close()


def stream(browser: Through, path: str) -> socket.socket:
    """The live stream, open; what it sends is read with ``recv``."""
    line = socket.create_connection(("127.0.0.1", browser.port), timeout=30)
    head = "".join(f"{name}: {value}\r\n" for name, value in browser.headers().items())
    line.sendall(f"GET {path} HTTP/1.1\r\nAccept: text/event-stream\r\n{head}\r\n".encode())
    return line


def read_until(line: socket.socket, wanted: Callable[[str], bool]) -> str:
    text = ""
    end = time.monotonic() + 30
    while not wanted(text):
        assert time.monotonic() < end, text
        text += line.recv(65536).decode()
    return text


def test_an_act_at_one_process_is_told_by_the_stream_and_seen_at_the_other(
    stack, letters, signed_in, cast
):
    day = day_build()
    client = signed_in(cast.tuner)
    proxy = Through(client, stack.port)
    board = reverse("board:day", args=[day.trackday.pk])
    status, page = proxy.get(board)
    assert (status, "See first" in page) == (200, True), stack.said()
    assert json.loads(proxy.get("/readyz")[1])["checks"]["migrations"] == "ok"

    line = stream(proxy, reverse("live", args=[day.trackday.pk]))
    read_until(line, lambda text: "event: moved" in text)
    first = Through(client, stack.first)
    first.get(board)  # for its token
    act = str(uuid.uuid4())
    do = reverse("board:do", args=[day.trackday.pk])
    assert first.post(do, kind="delay", minutes="15", trackday=day.trackday.pk, act_id=act)[0] < 400
    assert [delay.minutes for delay in Delay.objects.all()] == [15], stack.said()
    read_until(line, lambda text: "event: moved" in text)  # through Redis, the stream and nginx
    line.close()
    assert "running 15 min late" in Through(client, stack.second).get(board)[1]

    mail_enqueue(to="rider@example.org", subject="Your bike's history", text="A link.")
    Job.objects.update(sent_at=None)  # the sweep sends the message: this process has no broker
    until(lambda: letters.letters, found=stack.said)
    assert "Your bike's history" in letters.letters[0]

    stack.kill("first")  # whoever asks now is answered by the other
    assert [proxy.get(board)[0] for _ in range(4)] == [200] * 4, stack.said()
    stack.kill("second")
    assert proxy.get(board)[0] in (502, 504)
    stack.run("first", [*stack.commands["first"]])
    stack.wait_for(stack.first)
    assert "running 15 min late" in proxy.get(board)[1]
