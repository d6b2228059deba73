"""The van's ``.local`` name by multicast DNS (RFC 6762), and as a service (RFC 6763)."""

import ipaddress
import logging
from collections.abc import Sequence

from zeroconf import (  # type: ignore[attr-defined]  # the resolver is not in its __all__
    AddressResolverIPv4,
    InterfaceChoice,
    IPVersion,
    ServiceInfo,
    Zeroconf,
)

from .names import Van

log = logging.getLogger(__name__)

SERVICE = "_https._tcp.local."
ANSWER_MS = 1500


class NameTaken(Exception):
    """Another machine of this network answers for the name."""


class Announcer:
    """Answers for the van's name from ``start`` to ``stop``, with the addresses it has."""

    def __init__(self, van: Van, port: int, *, interfaces: Sequence[str] | None = None) -> None:
        self.van = van
        self.port = port
        self.interfaces = interfaces
        self.addresses: list[ipaddress.IPv4Address] = []
        self._zeroconf: Zeroconf | None = None
        self._info: ServiceInfo | None = None

    def start(self, addresses: Sequence[ipaddress.IPv4Address]) -> None:
        """Raises NameTaken where another machine has the name, OSError without a network."""
        where = InterfaceChoice.All if self.interfaces is None else list(self.interfaces)
        self._zeroconf = Zeroconf(interfaces=where, ip_version=IPVersion.V4Only)
        try:
            self._refuse_taken(addresses)
            self._info = self._service(addresses)
            self._zeroconf.register_service(self._info, allow_name_change=True)
        except BaseException:
            self.stop()
            raise
        self.addresses = list(addresses)

    def move(self, addresses: Sequence[ipaddress.IPv4Address]) -> None:
        """Answer with other addresses: the machine came into another network."""
        if self._zeroconf is None or self._info is None:
            self.start(addresses)  # there was no network before
            return
        if list(addresses) == self.addresses:
            return
        self._info = self._service(addresses, name=self._info.name)
        self._zeroconf.update_service(self._info)
        self.addresses = list(addresses)
        log.info("%s is now at %s", self.van.name, ", ".join(map(str, addresses)))

    def stop(self) -> None:
        """Say goodbye, so that nobody looks for the name here any more."""
        if self._zeroconf is not None:
            self._zeroconf.close()
        self._zeroconf = self._info = None

    def _refuse_taken(self, addresses: Sequence[ipaddress.IPv4Address]) -> None:
        assert self._zeroconf is not None
        asked = AddressResolverIPv4(f"{self.van.name}.")
        asked.request(self._zeroconf, ANSWER_MS)
        others = set(asked.ip_addresses_by_version(IPVersion.V4Only)) - set(addresses)
        if others:
            raise NameTaken(", ".join(sorted(map(str, others))))

    def _service(self, addresses: Sequence[ipaddress.IPv4Address], name: str = "") -> ServiceInfo:
        return ServiceInfo(
            SERVICE,
            name or f"Paddock ({self.van.name.removesuffix('.local')}).{SERVICE}",
            port=self.port,
            parsed_addresses=[str(one) for one in addresses],
            server=f"{self.van.name}.",
        )
