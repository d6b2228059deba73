"""While the server runs: its certificate is renewed before it ends, its addresses followed."""

import logging
import ssl
import threading
from collections.abc import Callable
from pathlib import Path

from .announce import Announcer
from .authority import Identity, identity_of
from .names import own_addresses

log = logging.getLogger(__name__)

EVERY_S = 60.0


class Upkeep:
    """A thread that looks once a minute; ``look`` is one round.

    ``context`` is the server's: whoever connects after a renewal gets the new certificate,
    and nobody's connection is cut.
    """

    def __init__(
        self,
        identity: Identity,
        *,
        home: Path,
        context: Callable[[], ssl.SSLContext | None],
        announcer: Announcer | None,
    ) -> None:
        self.identity = identity
        self.home = home
        self.context = context
        self.announcer = announcer
        self._over = threading.Event()

    def start(self) -> None:
        threading.Thread(target=self._run, name="upkeep of serving", daemon=True).start()

    def stop(self) -> None:
        self._over.set()

    def _run(self) -> None:
        while not self._over.wait(EVERY_S):
            try:
                self.look()
            except Exception:
                log.exception("The certificate or the name could not be looked after")

    def look(self) -> None:
        """Renew the certificate if that is due; announce the addresses there are now."""
        now = identity_of(self.identity.van, home=self.home)
        if now.server != self.identity.server and (context := self.context()) is not None:
            context.load_cert_chain(now.server_file)
            log.info("the certificate is renewed until %s", now.server.not_valid_after_utc.date())
            self.identity = now
        if self.announcer is not None and (addresses := own_addresses()):
            self.announcer.move(addresses)
