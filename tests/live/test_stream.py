"""The live stream: who may watch, what they are told, and that nothing is missed."""

import asyncio
import json
from collections.abc import Callable, Coroutine
from functools import partial
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from jobs.live import revision_sources, services, stream
from jobs.live.hub import Hub, hub
from jobs.trackday.services import revision_bump
from paddock import live
from paddock.asgi import application
from tests.days import day_build

pytestmark = pytest.mark.django_db(transaction=True)


class Watcher:
    """One browser's stream, read without a network."""

    def __init__(self, trackday_id: int, browser: Client | None = None) -> None:
        key = browser.cookies[settings.SESSION_COOKIE_NAME].value if browser else ""
        self.scope = {
            "type": "http",
            "path": f"/live/{trackday_id}/",
            "headers": [
                (b"accept", b"text/event-stream"),
                (b"cookie", f"{settings.SESSION_COOKIE_NAME}={key}".encode()),
            ],
        }
        self.sent: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self.left = asyncio.Event()

    async def __aenter__(self) -> "Watcher":
        self.task = asyncio.create_task(application(self.scope, self._receive, self.sent.put))
        self.status = (await self.sent.get())["status"]
        return self

    async def __aexit__(self, *error: object) -> None:
        self.left.set()
        async with asyncio.timeout(10):
            await self.task

    async def _receive(self) -> dict[str, Any]:
        await self.left.wait()
        return {"type": "http.disconnect"}

    async def next(self) -> bytes:
        async with asyncio.timeout(10):
            return (await self.sent.get())["body"]


def watching(scenario: Callable[[], Coroutine[Any, Any, None]]) -> None:
    async def attached() -> None:
        feeders = revision_sources.start(hub, live.revisions)
        await scenario()
        for source in feeders:
            source.cancel()

    asyncio.run(attached())


async def move(trackday) -> int:
    return await live.in_thread(partial(revision_bump, trackday_id=trackday.pk))()


def test_a_change_reaches_everybody_who_watches_that_day(cast, signed_in):
    day, other = day_build(bikes=1).trackday, day_build(bikes=1).trackday
    tuner, helper = signed_in(cast.tuner), signed_in(cast.helper)

    async def scenario() -> None:
        async with Watcher(day.pk, tuner) as one, Watcher(day.pk, helper) as two:
            assert await one.next() == b"retry: 2000\nevent: moved\nid: 0\ndata: 0\n\n"
            await two.next()
            await move(other)
            await move(day)
            assert await one.next() == b"event: moved\nid: 1\ndata: 1\n\n"
            assert await two.next() == b"event: moved\nid: 1\ndata: 1\n\n"

    watching(scenario)
    assert hub.topics() == []


def test_only_the_newest_revision_is_told_and_none_twice(cast, signed_in):
    day = day_build(bikes=1).trackday
    browser = signed_in(cast.tuner)

    async def scenario() -> None:
        async with Watcher(day.pk, browser) as watcher:
            await watcher.next()
            for revision in (3, 5, 4, 5):
                hub.announce(day.pk, revision)
            assert await watcher.next() == b"event: moved\nid: 5\ndata: 5\n\n"
            hub.announce(day.pk, 6)
            assert await watcher.next() == b"event: moved\nid: 6\ndata: 6\n\n"

    watching(scenario)


@pytest.mark.parametrize("who", ["customer_a", None])
def test_nobody_else_may_watch(cast, signed_in, who):
    day = day_build(bikes=1).trackday
    browser = signed_in(getattr(cast, who)) if who else None

    async def scenario() -> None:
        async with Watcher(day.pk, browser) as watcher:
            assert watcher.status == 401

    watching(scenario)


def test_an_address_of_too_many_digits_is_no_day():
    wants = [(b"accept", b"text/event-stream")]
    path = {"headers": wants, "path": "/live/12/"}
    assert live.wanted(path) == 12
    assert live.wanted({**path, "path": f"/live/{'9' * 5000}/"}) is None


def test_an_unknown_day_is_answered_with_404(cast, signed_in):
    browser = signed_in(cast.tuner)

    async def scenario() -> None:
        async with Watcher(999, browser) as watcher:
            assert watcher.status == 404

    watching(scenario)


def test_signing_out_ends_the_stream(cast, signed_in, monkeypatch):
    monkeypatch.setattr(stream, "KEEP_ALIVE_S", 0.01)
    day = day_build(bikes=1).trackday
    browser = signed_in(cast.helper)

    async def scenario() -> None:
        async with Watcher(day.pk, browser) as watcher:
            await watcher.next()
            assert await watcher.next() == b":\n\n"
            await live.in_thread(browser.logout)()
            while await watcher.next() == b":\n\n":
                pass
            async with asyncio.timeout(10):
                await watcher.task

    watching(scenario)


def test_a_change_nobody_announced_is_found_by_polling(monkeypatch):
    monkeypatch.setattr(revision_sources, "POLL_S", 0.01)

    async def revisions(topics: list[int]) -> dict[int, int]:
        return dict.fromkeys(topics, 7)

    async def scenario() -> None:
        own = Hub()
        tasks = revision_sources.start(own, revisions)
        with own.listening(3) as listener:
            assert await listener.wait(10) == 7
        for task in tasks:
            task.cancel()

    asyncio.run(scenario())


def test_an_error_of_a_source_is_logged_and_the_source_started_again(monkeypatch, caplog):
    monkeypatch.setattr(revision_sources, "RESTART_S", 0)
    rounds = []

    async def source() -> None:
        rounds.append(len(rounds))
        if len(rounds) == 3:
            raise asyncio.CancelledError
        raise OSError("the wire is cut")

    with pytest.raises(asyncio.CancelledError):
        asyncio.run(revision_sources.restart_for_ever(source))
    assert rounds == [0, 1, 2]
    assert caplog.text.count("Live updates failed") == 2


@pytest.mark.redis
def test_redis_tells_other_processes_of_a_revision(settings, monkeypatch):
    from tests import needs

    settings.REDIS_URL = needs.redis_url()
    services._redis.cache_clear()

    async def scenario() -> None:
        own = Hub()
        own.attach()
        listening = asyncio.create_task(revision_sources.listen_to_redis(own))
        with own.listening(41) as listener:
            told = None
            while told is None:
                await asyncio.to_thread(services._publish, 41, 9)
                told = await listener.wait(0.05)
            assert told == 9
        listening.cancel()

    asyncio.run(scenario())
    services._redis().close()
    services._redis.cache_clear()


def test_redis_that_is_down_fails_no_request(settings, caplog):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    services._redis.cache_clear()
    services._publish(1, 1)
    assert "Redis cannot be reached" in caplog.text
    services._redis.cache_clear()


def test_a_browser_without_the_stream_may_ask(cast, signed_in):
    day = day_build(bikes=1).trackday
    url = reverse("live", args=[day.pk])
    assert json.loads(signed_in(cast.helper).get(url).content) == {"revision": 0}
    revision_bump(trackday_id=day.pk)
    assert json.loads(signed_in(cast.helper).get(url).content) == {"revision": 1}
