"""The name over real packets on the loopback interface (RFC 6762)."""

from ipaddress import IPv4Address

import pytest
from zeroconf import AddressResolverIPv4, IPVersion, Zeroconf

from jobs.serving.announce import SERVICE, Announcer, NameTaken
from jobs.serving.names import van_of

HERE = ["127.0.0.1"]
ADDRESS, OTHER = IPv4Address("192.0.2.7"), IPv4Address("192.0.2.8")
VAN = van_of("paddock-test-van")


@pytest.fixture
def asker():
    with Zeroconf(interfaces=HERE, ip_version=IPVersion.V4Only) as found:
        yield found


@pytest.fixture
def announcer():
    found = Announcer(VAN, 8443, interfaces=HERE)
    yield found
    found.stop()


def addresses(asker):
    asked = AddressResolverIPv4(f"{VAN.name}.")
    asker.cache.async_expire(float("inf"))
    asked.request(asker, 3000)
    return set(asked.ip_addresses_by_version(IPVersion.V4Only))


def test_another_machine_finds_the_address_by_the_name(asker, announcer):
    announcer.start([ADDRESS])
    assert addresses(asker) == {ADDRESS}


def test_the_address_follows_when_the_machine_moves(asker, announcer):
    announcer.start([ADDRESS])
    announcer.move([OTHER])
    assert OTHER in addresses(asker)


def test_a_name_that_another_machine_has_is_refused(announcer):
    announcer.start([ADDRESS])
    second = Announcer(VAN, 8443, interfaces=HERE)
    with pytest.raises(NameTaken, match=r"192\.0\.2\.7"):
        second.start([OTHER])


def test_without_a_network_it_is_announced_when_there_is_one(asker, announcer):
    announcer.move([ADDRESS])
    assert addresses(asker) == {ADDRESS}


def test_it_can_be_browsed_as_a_secure_site(asker, announcer):
    announcer.start([ADDRESS])
    info = asker.get_service_info(SERVICE, f"Paddock (paddock-test-van).{SERVICE}", 3000)
    assert (info.server, info.port) == (f"{VAN.name}.", 8443)
