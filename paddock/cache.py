"""The cache of several processes: Redis, without which a page is built again, not refused."""

import logging
import time
from typing import Any

import redis
from django.core.cache.backends.redis import RedisCache

log = logging.getLogger(__name__)

PAUSE_S = 5.0  # so long a Redis that did not answer is not asked again: each try may take a second


class OptionalRedisCache(RedisCache):
    """Only for what can be built again: while Redis is away nothing is found and nothing kept.

    Operations not named here raise as Django's do.
    """

    _ask_again_at = 0.0  # of the class: Django makes one object for each thread

    def get(self, key: Any, default: Any = None, version: int | None = None) -> Any:
        return self._if_there(default, super().get, key, default, version)

    def set(self, key: Any, value: Any, *args: Any, **kwargs: Any) -> None:
        self._if_there(None, super().set, key, value, *args, **kwargs)

    def _if_there(self, otherwise: Any, ask: Any, *args: Any, **kwargs: Any) -> Any:
        if time.monotonic() < OptionalRedisCache._ask_again_at:
            return otherwise
        try:
            return ask(*args, **kwargs)
        except redis.RedisError as error:
            OptionalRedisCache._ask_again_at = time.monotonic() + PAUSE_S
            log.warning("Redis cannot be reached, pages are built without the cache: %s", error)
            return otherwise
