"""Where a request comes from. Addresses are those kept for documentation: RFC 5737, RFC 3849."""

import pytest
from django.test import RequestFactory

from jobs.people.addresses import address_of


def asked(sender, forwarded=None):
    headers = {} if forwarded is None else {"x-forwarded-for": forwarded}
    return RequestFactory().get("/", REMOTE_ADDR=sender, headers=headers)


@pytest.mark.parametrize(
    ("proxies", "sender", "forwarded", "address"),
    [
        (0, "192.0.2.7", None, "192.0.2.7"),
        (0, "192.0.2.7", "198.51.100.1", "192.0.2.7"),  # nobody in front: a claim of the sender
        (1, "127.0.0.1", "198.51.100.1", "198.51.100.1"),
        (1, "127.0.0.1", "203.0.113.9, 198.51.100.1", "198.51.100.1"),  # the first one is a claim
        (2, "127.0.0.1", "203.0.113.9, 198.51.100.1, 192.0.2.1", "198.51.100.1"),
        (2, "127.0.0.1", "198.51.100.1", "127.0.0.1"),
        (1, "127.0.0.1", None, "127.0.0.1"),
        (1, "127.0.0.1", "nonsense", "127.0.0.1"),
        (0, "2001:db8:1:2:3:4:5:6", None, "2001:db8:1:2::/64"),
        (0, "::ffff:192.0.2.7", None, "192.0.2.7"),
        (0, "fe80::1%eth0", None, "fe80::/64"),
        (0, "", None, ""),
    ],
)
def test_the_address_is_what_the_nearest_of_our_proxies_was_asked_by(
    settings, proxies, sender, forwarded, address
):
    settings.PROXIES = proxies
    assert address_of(asked(sender, forwarded)) == address
