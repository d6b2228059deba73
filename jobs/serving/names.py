"""What a van is reached by: one host name, or one address."""

import ipaddress
import re
from collections.abc import Iterable
from dataclasses import dataclass

import ifaddr

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")  # RFC 1123, section 2.1


@dataclass(frozen=True)
class Van:
    """``name`` in lower case without a dot at its end, or ``address``: exactly one of them."""

    name: str = ""
    address: Address | None = None

    @property
    def host(self) -> str:
        """As it stands in a URL and in ALLOWED_HOSTS."""
        if isinstance(self.address, ipaddress.IPv6Address):
            return f"[{self.address}]"
        return self.name or str(self.address)

    @property
    def is_announced(self) -> bool:
        """Whether this machine itself has to answer for the name (RFC 6762, section 3)."""
        return self.name.endswith(".local")


def is_this_machine(host: str) -> bool:
    """Whether an address with this host opens only on the very computer that serves it.

    >>> is_this_machine("localhost"), is_this_machine("127.0.0.1"), is_this_machine("van.local")
    (True, True, False)
    """
    address = _address(host)
    return host == "localhost" or (address is not None and address.is_loopback)


def is_near(host: str) -> bool:
    """Whether it opens only in the same network: a ``.local`` name, or a private address.

    >>> is_near("van.local"), is_near("192.168.8.2"), is_near("paddock.example")
    (True, True, False)
    """
    address = _address(host)
    return host.endswith(".local") or (address is not None and address.is_private)


def _address(host: str) -> Address | None:
    try:
        return ipaddress.ip_address(host.strip("[]"))
    except ValueError:
        return None


def van_of(text: str) -> Van:
    """What somebody typed as the van's name or address. A bare word gets ``.local``.

    Raises ValueError in words.

    >>> van_of("Van").name
    'van.local'
    >>> van_of("192.168.8.2").host
    '192.168.8.2'
    >>> van_of("van_1")
    Traceback (most recent call last):
    ValueError: 'van_1' is no name: letters, digits and hyphens, as in van.local.
    """
    typed = text.strip().rstrip(".").lower()
    if (address := _address(typed)) is not None:
        if address.is_unspecified or address.is_multicast:
            raise ValueError(f"{text!r} is the address of no single machine.")
        return Van(address=address)
    labels = typed.split(".")
    if len(typed) > 253 or not all(LABEL.fullmatch(label) for label in labels):
        raise ValueError(f"{text!r} is no name: letters, digits and hyphens, as in van.local.")
    if labels[-1].isdecimal():
        raise ValueError(f"{text!r} is neither a name nor a whole address.")
    return Van(name=typed if len(labels) > 1 else f"{typed}.local")


def own_addresses() -> list[ipaddress.IPv4Address]:
    """Addresses other machines of the same network may reach this one by; perhaps none."""
    found = (
        ipaddress.IPv4Address(ip.ip)
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4
    )
    return reachable(found)


def reachable(addresses: Iterable[ipaddress.IPv4Address]) -> list[ipaddress.IPv4Address]:
    """Without those of the machine itself; those a network gave before self-assigned ones."""
    others = {one for one in addresses if not (one.is_loopback or one.is_unspecified)}
    return sorted(others, key=lambda one: (one.is_link_local, not one.is_private, one))
