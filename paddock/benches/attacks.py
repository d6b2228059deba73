"""What an attack costs those who work: pages while passwords are tried, photos sent, bombs thrown.

One embedded process serves a day of 24 bikes. The bars: pages under eight loops of wrong
passwords, each try from another address so that every one is hashed, at most 3 times as slow as
idle; while four phones send a photo of 12 megapixels each, until all are decoded, at most 2
times; and through eight pictures of 59 megapixels at once, and the largest that are accepted,
less than 400 MB in the process.
"""

import http.client
import io
import itertools
import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from statistics import median

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.db import connection
from django.urls import reverse
from PIL import Image

from jobs.outbox.selectors import jobs_waiting
from jobs.people.models import User

from .bench_days import BenchDay, bench_database, bench_day

BIKES, LOOPS, UPLOADS, BOMBS = 24, 8, 4, 8
PHOTO, BOMB, LARGEST_PNG, LARGEST_JPEG = (4000, 3000), (7700, 7700), (4000, 4000), (8600, 5800)
TOKEN = "a" * 32  # any 32 letters are a CSRF token, if cookie and header say the same


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--pages", type=int, default=60, help="pages fetched in each measurement")


def run(say: Callable[[str], None], *, pages: int, **options: object) -> None:
    with bench_database(), _served(bench_day(bikes=BIKES)) as server:
        for _ in range(5):
            server.page()
        idle = median(server.page() for _ in range(pages))
        under = server.pages_under(server.wrong_password, LOOPS, pages)
        say(_line(f"{LOOPS} wrong-password loops", under, idle, most=3))
        photo = _picture(PHOTO, "JPEG")
        under = server.pages_while_photos(photo, pages)
        say(_line(f"{UPLOADS} photo uploads", under, idle, most=2))
        before = server.most_resident_mb()
        said = [server.at_once(_picture(BOMB, "PNG"))]
        said += [server.at_once(_picture(LARGEST_PNG, "PNG"))]
        said += [server.at_once(_picture(LARGEST_JPEG, "JPEG"))]
        server.wait_for_pictures()
        say(
            f"{BOMBS} pixel bombs at once answered {said[0]}, the largest PNG {said[1]}, the "
            f"largest JPEG {said[2]}: at most {server.most_resident_mb():.0f} MB in the process "
            f"(bar 400), {before:.0f} MB before"
        )


def _line(what: str, under: list[float], idle: float, *, most: int) -> str:
    ratio = median(under) / idle
    return (
        f"a page under {what}: median {ratio:.1f} times idle (bar {most}), slowest "
        f"{max(under) / idle:.1f} times; idle {idle * 1000:.0f} ms"
    )


def _picture(size: tuple[int, int], kind: str) -> bytes:
    """Noise in a small picture made large: a JPEG as heavy as a phone's, a PNG of few bytes."""
    out = io.BytesIO()
    if kind == "PNG":
        Image.new("RGB", size, "teal").save(out, kind)
    else:
        noise = Image.effect_noise((size[0] // 8, size[1] // 8), 60).convert("RGB")
        noise.resize(size).save(out, kind, quality=90)
    return out.getvalue()


@dataclass
class Attacked:
    """A server process, and a tuner's browser at it."""

    port: int
    process: subprocess.Popen[bytes]
    cookies: str
    board: str
    entry: int
    addresses: Iterator[int] = field(default_factory=itertools.count)

    def page(self) -> float:
        """Seconds until the day board has come."""
        start = time.perf_counter()
        status = self._ask("GET", self.board, headers={"Cookie": self.cookies})
        if status != HTTPStatus.OK:
            raise RuntimeError(f"the board answered {status}")
        return time.perf_counter() - start

    def wrong_password(self) -> int:
        """One try, from an address that did not try before: its password is hashed."""
        number = next(self.addresses)
        headers = {
            "Cookie": f"demo_csrftoken={TOKEN}",
            "X-CSRFToken": TOKEN,
            "X-Forwarded-For": f"10.{number >> 16 & 255}.{number >> 8 & 255}.{number & 255}",
            "Content-Type": "application/x-www-form-urlencoded",
        }
        return self._ask("POST", "/sign-in/", b"username=bench&password=wrong", headers)

    def photo(self, picture: bytes) -> int:
        fields = {"act_id": str(uuid.uuid4()), "act_kinds": "photo/1", "subject": "bike"}
        body, kind = _multipart(fields, picture)
        headers = {
            "Cookie": f"{self.cookies}; demo_csrftoken={TOKEN}",
            "X-CSRFToken": TOKEN,
            "Content-Type": kind,
        }
        return self._ask("POST", reverse("board:sheet-photos", args=[self.entry]), body, headers)

    def pages_under(self, attack: Callable[[], int], loops: int, pages: int) -> list[float]:
        """The times of pages while so many threads attack without a pause."""
        over = threading.Event()

        def attack_until_over() -> None:
            while not over.is_set():
                attack()

        threads = [threading.Thread(target=attack_until_over, daemon=True) for _ in range(loops)]
        for thread in threads:
            thread.start()
        time.sleep(1)
        try:
            return [self.page() for _ in range(pages)]
        finally:
            over.set()
            for thread in threads:
                thread.join()

    def pages_while_photos(self, photo: bytes, pages: int) -> list[float]:
        """The times of pages from the moment four phones send one photo each until all are
        decoded; then they send the next."""
        times: list[float] = []
        while len(times) < pages:
            phones = [threading.Thread(target=self.photo, args=[photo]) for _ in range(UPLOADS)]
            for phone in phones:
                phone.start()
            while any(phone.is_alive() for phone in phones) or jobs_waiting().exists():
                times.append(self.page())
        return times

    def at_once(self, picture: bytes) -> str:
        """What eight of these are answered."""
        statuses: list[int] = []
        threads = [
            threading.Thread(target=lambda: statuses.append(self.photo(picture)))
            for _ in range(BOMBS)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return "/".join(str(status) for status in sorted(set(statuses)))

    def wait_for_pictures(self) -> None:
        """Until all that was sent is decoded: the memory of that counts too."""
        end = time.monotonic() + 120
        while time.monotonic() < end and jobs_waiting().exists():
            time.sleep(0.5)

    def most_resident_mb(self) -> float:
        """The most memory the process has had so far."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        (line,) = [one for one in status.splitlines() if one.startswith("VmHWM:")]
        return int(line.split()[1]) / 1024

    def _ask(
        self, method: str, path: str, body: bytes = b"", headers: dict[str, str] | None = None
    ) -> int:
        asked = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        try:
            asked.request(method, path, body or None, headers or {})
            answer = asked.getresponse()
            answer.read()
        finally:
            asked.close()
        return answer.status


def _multipart(fields: dict[str, str], picture: bytes) -> tuple[bytes, str]:
    edge = "edge-of-a-part"
    parts = [
        f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
        for name, value in fields.items()
    ]
    head = f'--{edge}\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n'
    parts += [head.encode(), picture, f"\r\n--{edge}--\r\n".encode()]
    return b"".join(parts), f"multipart/form-data; boundary={edge}"


@contextmanager
def _served(day: BenchDay) -> Iterator[Attacked]:
    """The embedded server in a process of its own, on the bench's database."""
    day.tuner.set_password("the right password")
    day.tuner.save()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        variables = {
            # Nothing to collect, no backup at night; each try may name an address of its own.
            "DEMO": "1", "PROXIES": "1", "REDIS_URL": "", "DATA_DIR": folder,
            "DATABASE_URL": _database_url(), "SECRET_KEY": settings.SECRET_KEY,
        }  # fmt: skip
        command = [sys.executable, "-W", "ignore", "-m", "uvicorn", "paddock.asgi:application"]
        process = subprocess.Popen(
            [*command, "--port", str(port), "--log-level", "critical"],
            cwd=settings.BASE_DIR,
            env={**os.environ, **variables},
            stderr=subprocess.DEVNULL,
        )
        try:
            _wait(port)
            board = reverse("board:day", args=[day.trackday.pk])
            yield Attacked(port, process, _session(day.tuner), board, day.entries[0].pk)
        finally:
            process.terminate()
            process.wait()


def _database_url() -> str:
    entry = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{entry['NAME']}"
    secret = f":{entry['PASSWORD']}" if entry["PASSWORD"] else ""
    where = f"{entry['HOST']}:{entry['PORT'] or 5432}"
    return f"postgres://{entry['USER']}{secret}@{where}/{entry['NAME']}"


def _session(user: User) -> str:
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    return f"demo_sessionid={session.session_key}"


def _wait(port: int) -> None:
    """Until the pages answer."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            asked = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
            asked.request("GET", "/readyz")
            if json.loads(asked.getresponse().read())["ready"]:
                return
        except (OSError, ValueError):
            pass
        time.sleep(0.2)
    raise RuntimeError("the server does not answer")
