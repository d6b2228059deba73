"""Pages, live stream and deferred work in one process: ``uvicorn paddock.asgi:application``.

Pages stay WSGI (several times quicker than Django's own ASGI handler), handed over
through a2wsgi. With REDIS_URL deferred work is the Celery worker's, and pages may be
served by ``paddock.wsgi`` beside this.
"""

import asyncio
from typing import Any

from a2wsgi import WSGIMiddleware
from django.conf import settings

from . import django_start  # noqa: F401  (sets Django up, which what follows needs)

# isort: split
from jobs.live import revision_sources
from jobs.live.hub import hub
from jobs.live.stream import Receive, Send
from jobs.outbox import embedded, signs
from jobs.outbox.enums import ProcessPart

from . import live
from .pages import pages as pages_when_ready
from .readiness import PAUSE_S
from .truncated_bodies import pass_complete_request

pages: Any = WSGIMiddleware(pages_when_ready, workers=4)  # type: ignore[arg-type]


async def application(scope: dict[str, Any], receive: Receive, send: Send) -> None:
    if scope["type"] == "lifespan":
        await lifespan(receive, send)
    elif scope["type"] == "http":
        trackday_id = live.wanted(scope)
        if trackday_id is None or not await asyncio.to_thread(pages_when_ready.is_ready):
            await pass_complete_request(pages, scope, receive, send)
        else:
            await live.serve(scope, receive, send, trackday_id)


async def lifespan(receive: Receive, send: Send) -> None:
    """What runs beside the pages from the start of the process to its end."""
    await receive()
    tasks = [asyncio.create_task(_start_beside_pages())]
    await send({"type": "lifespan.startup.complete"})
    await receive()
    beside = tasks[0]
    sources = beside.result() if beside.done() and not beside.cancelled() else []
    for task in [beside, *sources]:
        task.cancel()
    await send({"type": "lifespan.shutdown.complete"})


async def _start_beside_pages() -> list[asyncio.Task[None]]:
    """Start live updates and deferred work once the pages answer. Returns the sources' tasks."""
    while not await asyncio.to_thread(pages_when_ready.is_ready):
        await asyncio.sleep(PAUSE_S)
    sources = revision_sources.start(hub, live.revisions)
    signs.start(ProcessPart.PAGES)
    if not settings.REDIS_URL:
        embedded.start()
    return sources
