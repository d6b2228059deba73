"""Counting the queries of a page, to compare with a literal."""

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext


def page_queries(client: Client, url: str, **headers: str) -> int:
    """How many queries one successful GET of ``url`` costs.

    Compare with a literal, at 1, 3 and 60 bikes: ``assert page_queries(...) == 9``.
    """
    with CaptureQueriesContext(
        connection,
    ) as captured:
        response = client.get(url, headers=headers)
        if response.streaming:
            b"".join(response.streaming_content)
    assert response.status_code == 200, f"{url} answered {response.status_code}"
    return len(captured)


def queries() -> CaptureQueriesContext:
    """``with queries() as asked: ...`` then ``len(asked)``."""
    return CaptureQueriesContext(connection)
