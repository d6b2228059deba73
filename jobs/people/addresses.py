"""The address a request comes from, also behind proxies."""

import ipaddress

from django.conf import settings
from django.http import HttpRequest


def address_of(request: HttpRequest) -> str:
    """Where the request comes from; of an IPv6 address the network that one household is given.

    With ``PROXIES`` in front each of them adds to the end of X-Forwarded-For whom it was asked
    by. What stands before those is the sender's own claim and is not read.
    """
    said = str(request.META.get("REMOTE_ADDR", ""))
    if settings.PROXIES:
        chain = request.headers.get("X-Forwarded-For", "").split(",")
        if len(chain) >= settings.PROXIES:
            said = chain[-settings.PROXIES].strip() or said
    return _network(said) or _network(str(request.META.get("REMOTE_ADDR", "")))


def _network(said: str) -> str:
    """The address as it is counted; empty where it is none."""
    try:
        address = ipaddress.ip_address(said.partition("%")[0])
    except ValueError:
        return ""
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    if address.ipv4_mapped:
        return str(address.ipv4_mapped)
    return str(ipaddress.ip_network((address, 64), strict=False))
