"""Everything that runs beside the server of a van: certificate, name, page for tablets."""

import logging
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import uvicorn
from a2wsgi import WSGIMiddleware
from django.conf import settings

from .announce import Announcer
from .authority import Identity, home, identity_of
from .install import InstallPage
from .names import Van, own_addresses, van_of
from .upkeep import Upkeep

log = logging.getLogger(__name__)


def install_url() -> str:
    """Where a tablet finds the authority: by address, for not every tablet knows the name yet."""
    van = van_of(settings.VAN)
    addresses = own_addresses()
    host = str(addresses[0]) if van.address is None and addresses else van.host
    return f"http://{host}:{settings.INSTALL_PORT}/"


@contextmanager
def van_served(config: uvicorn.Config) -> Iterator[Identity]:
    """Within, ``config`` has the certificate and the name is announced.

    Raises NameTaken where another machine of the network has the name.
    """
    van = van_of(settings.VAN)
    identity = identity_of(van, home=home())
    config.ssl_certfile = identity.server_file
    page = InstallPage(identity, here=install_url(), site=f"{settings.PUBLIC_URL}/")
    with ExitStack() as beside:
        announcer = _announced(van, settings.PORT)
        if announcer is not None:
            beside.callback(announcer.stop)
        beside.enter_context(_install_served(page))
        upkeep = Upkeep(
            identity,
            home=home(),
            context=lambda: config.ssl if config.loaded else None,
            announcer=announcer,
        )
        upkeep.start()
        beside.callback(upkeep.stop)
        yield identity


def _announced(van: Van, port: int) -> Announcer | None:
    """Without a network yet, the name is announced as soon as there is one."""
    if not van.is_announced:
        return None
    announcer = Announcer(van, port)
    try:
        announcer.start(own_addresses())
    except OSError as error:
        log.warning("%s cannot be announced now: %s", van.name, error.strerror)
    return announcer


@contextmanager
def _install_served(page: InstallPage) -> Iterator[None]:
    app: Any = WSGIMiddleware(page, workers=2)  # type: ignore[arg-type]
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            host=settings.HOST,
            port=settings.INSTALL_PORT,
            log_level="warning",
            lifespan="off",
            proxy_headers=False,
            server_header=False,
        )
    )
    thread = threading.Thread(target=server.run, name="page for tablets", daemon=True)
    thread.start()
    yield
    server.should_exit = True
    thread.join(timeout=5)
