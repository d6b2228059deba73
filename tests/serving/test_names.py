"""What a van may be called."""

import doctest
from ipaddress import IPv4Address

import pytest

from jobs.serving import names


@pytest.mark.parametrize(
    ("typed", "host", "announced"),
    [
        ("van", "van.local", True),
        ("Van.Local.", "van.local", True),
        ("van.home.arpa", "van.home.arpa", False),
        ("192.168.8.2", "192.168.8.2", False),
        ("fd00::2", "[fd00::2]", False),
        ("[fd00::2]", "[fd00::2]", False),
    ],
)
def test_a_name_or_an_address(typed, host, announced):
    van = names.van_of(typed)
    assert (van.host, van.is_announced) == (host, announced)


@pytest.mark.parametrize(
    "typed", ["", "-van", "van-", "my van", "van_1", "192.168.8", "1.2.3.4.5", "0.0.0.0", "*.local"]
)
def test_what_is_no_name_is_refused_in_words(typed):
    with pytest.raises(ValueError, match=r"is no name|whole address|no single machine"):
        names.van_of(typed)


def test_the_examples():
    assert doctest.testmod(names).failed == 0


def test_addresses_for_others_begin_with_those_a_network_gave():
    given = map(IPv4Address, ["127.0.0.1", "169.254.7.7", "192.168.8.2"])
    assert list(map(str, names.reachable(given))) == ["192.168.8.2", "169.254.7.7"]
