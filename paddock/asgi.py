"""Pages, live stream and deferred work in one process: ``uvicorn paddock.asgi:application``.

Pages stay WSGI (several times quicker than Django's own ASGI handler), handed over
through a2wsgi. With REDIS_URL deferred work is the Celery worker's, and pages may be
served by ``paddock.wsgi`` beside this.
"""

from typing import Any

from a2wsgi import WSGIMiddleware
from django.conf import settings

from . import wsgi  # sets Django up, which what follows needs

# isort: split
from jobs.live import pump
from jobs.live.hub import hub
from jobs.live.stream import Receive, Send
from jobs.outbox import embedded

from . import live
from .whole import hand_on_whole

pages: Any = WSGIMiddleware(wsgi.pages, workers=4)  # type: ignore[arg-type]


async def application(scope: dict[str, Any], receive: Receive, send: Send) -> None:
    if scope["type"] == "lifespan":
        await lifespan(receive, send)
    elif scope["type"] == "http":
        trackday_id = live.wanted(scope)
        if trackday_id is None:
            await hand_on_whole(pages, scope, receive, send)
        else:
            await live.serve(scope, receive, send, trackday_id)


async def lifespan(receive: Receive, send: Send) -> None:
    """What runs beside the pages from the start of the process to its end."""
    await receive()
    feeders = pump.start(hub, live.revisions)
    if not settings.REDIS_URL:
        embedded.start()
    await send({"type": "lifespan.startup.complete"})
    await receive()
    for feeder in feeders:
        feeder.cancel()
    await send({"type": "lifespan.shutdown.complete"})
