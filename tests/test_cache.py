"""The cache of a large place while Redis is away: nothing found, nothing kept, no error."""

import pytest
import redis
from django.core.cache import cache

from paddock.cache import OptionalRedisCache
from tests import needs
from tests.alone import worker_index
from tests.wire import Wire


@pytest.fixture
def large(settings, monkeypatch):
    """``large(port)``: this process as one of several that share the Redis on that port."""

    def use(port: int) -> None:
        address = f"redis://127.0.0.1:{port}/{15 - worker_index()}"
        settings.REDIS_URL = settings.CELERY_BROKER_URL = address
        settings.CACHES = {
            "default": {
                "BACKEND": "paddock.cache.OptionalRedisCache",
                "LOCATION": address,
                "OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 1},
            }
        }
        monkeypatch.setattr(OptionalRedisCache, "_ask_again_at", 0.0)

    return use


@pytest.mark.redis
def test_what_was_kept_is_found_again_once_redis_is_back(large, monkeypatch):
    wire = Wire(int(needs.redis_url().rsplit("/", 1)[0].rsplit(":", 1)[1]))
    try:
        large(wire.port)
        cache.set("fragment", "built", 60)
        assert cache.get("fragment") == "built"
        wire.cut()
        assert cache.get("fragment", "build it again") == "build it again"
        cache.set("fragment", "lost", 60)
        wire.mend()
        assert cache.get("fragment") is None  # Redis is not asked again at once
        monkeypatch.setattr(OptionalRedisCache, "_ask_again_at", 0.0)
        assert cache.get("fragment") == "built"
        cache.clear()
    finally:
        wire.close()


def test_an_operation_whose_result_counts_still_says_that_redis_is_away(large):
    large(1)
    with pytest.raises(redis.RedisError):
        cache.add("lock", "mine")
