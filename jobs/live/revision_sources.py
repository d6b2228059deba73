"""Where this process learns of new revisions: from Redis, and by polling the database.

Polling finds whatever Redis did not tell: a message lost while Redis was down, a change made
by a management command, a page process that could not reach Redis.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Coroutine
from typing import Any

import redis.asyncio
from django.conf import settings

from .hub import Hub
from .services import channel

log = logging.getLogger(__name__)

POLL_S = 5.0
RESTART_S = 1.0

# Given topics, the newest revision of each.
Revisions = Callable[[list[int]], Awaitable[dict[int, int]]]


def start(hub: Hub, revisions: Revisions) -> list[asyncio.Task[None]]:
    """Start both sources on the running loop. Keep the tasks: the loop itself does not."""
    hub.attach()
    sources = [lambda: poll_database(hub, revisions)]
    if settings.REDIS_URL:
        sources.append(lambda: listen_to_redis(hub))
    return [asyncio.create_task(restart_for_ever(source)) for source in sources]


async def restart_for_ever(source: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """An error of a source is logged, and the source is started again."""
    while True:
        try:
            await source()
        except Exception:
            log.exception("Live updates failed and are started again")
        await asyncio.sleep(RESTART_S)


async def poll_database(hub: Hub, revisions: Revisions) -> None:
    while True:
        await asyncio.sleep(POLL_S)
        if topics := hub.topics():
            for topic, revision in (await revisions(topics)).items():
                hub.announce(topic, revision)


async def listen_to_redis(hub: Hub) -> None:
    async with redis.asyncio.Redis.from_url(settings.REDIS_URL) as client, client.pubsub() as feed:
        await feed.subscribe(channel())
        async for message in feed.listen():
            if message["type"] == "message":
                topic, _, revision = message["data"].decode().partition(":")
                hub.announce(int(topic), int(revision))
