"""While Redis is away the screens of a large place answer as before."""

import pytest
from django.urls import reverse

from jobs.trackday.models import Delay

from .test_board import board, post

pytestmark = pytest.mark.django_db(transaction=True)


def test_board_round_and_a_tap_are_answered(day, signed_in, helper, settings):
    away = "redis://127.0.0.1:1/0"  # nobody answers there
    settings.REDIS_URL = settings.CELERY_BROKER_URL = away
    settings.CACHES = {"default": {"BACKEND": "paddock.cache.OptionalRedisCache", "LOCATION": away}}
    browser = signed_in(helper)
    assert "D rolls 10:00" in board(browser, day)
    assert browser.get(reverse("board:my-round"), follow=True).status_code == 200
    answer = post(browser, day, kind="delay", minutes="15", trackday=day.trackday.pk)
    assert "D rolls 10:15" in answer.content.decode()
    assert [delay.minutes for delay in Delay.objects.all()] == [15]
