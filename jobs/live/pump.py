"""What feeds the hub of this process: Redis, and a look at the database every few seconds.

The look heals whatever was missed: a message lost while Redis was away, a change made by
a management command, a page process that could not reach Redis.
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

LOOK_S = 5.0
AGAIN_S = 1.0

# Given topics, the newest revision of each.
Revisions = Callable[[list[int]], Awaitable[dict[int, int]]]


def start(hub: Hub, revisions: Revisions) -> list[asyncio.Task[None]]:
    """Start feeding on the running loop. Keep the tasks: the loop itself does not."""
    hub.attach()
    feeders = [lambda: look(hub, revisions)]
    if settings.REDIS_URL:
        feeders.append(lambda: listen(hub))
    return [asyncio.create_task(forever(feeder)) for feeder in feeders]


async def forever(feeder: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """Whatever stops a feeder is logged, and it is started again."""
    while True:
        try:
            await feeder()
        except Exception:
            log.exception("Live updates stumbled")
        await asyncio.sleep(AGAIN_S)


async def look(hub: Hub, revisions: Revisions) -> None:
    while True:
        await asyncio.sleep(LOOK_S)
        if topics := hub.topics():
            for topic, revision in (await revisions(topics)).items():
                hub.announce(topic, revision)


async def listen(hub: Hub) -> None:
    async with redis.asyncio.Redis.from_url(settings.REDIS_URL) as client, client.pubsub() as feed:
        await feed.subscribe(channel())
        async for message in feed.listen():
            if message["type"] == "message":
                topic, _, revision = message["data"].decode().partition(":")
                hub.announce(int(topic), int(revision))
