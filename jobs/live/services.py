"""Telling browsers that a topic has a new revision."""

import logging
from functools import cache, partial
from urllib.parse import urlsplit

import redis
from django.conf import settings
from django.db import transaction

from .hub import hub

log = logging.getLogger(__name__)


def channel() -> str:
    """Redis publishes across its numbered databases, so the number is part of the name."""
    return f"live{urlsplit(settings.REDIS_URL).path}"


def revision_announce(*, topic: int, revision: int) -> None:
    """Tell every browser that watches the topic, once this transaction is committed."""
    transaction.on_commit(partial(_publish, topic, revision))


def _publish(topic: int, revision: int) -> None:
    """Never raises: polling finds what was not published (see revision_sources.py)."""
    if not settings.REDIS_URL:
        hub.announce(topic, revision)
        return
    try:
        _redis().publish(channel(), f"{topic}:{revision}")
    except redis.RedisError as error:
        log.warning("Redis cannot be reached, browsers learn of it later: %s", error)


@cache
def _redis() -> redis.Redis:
    return redis.Redis.from_url(settings.REDIS_URL, socket_connect_timeout=1, socket_timeout=1)
