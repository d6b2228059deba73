"""The authority of a van, judged by OpenSSL: it can speak for one name or address only.

RFC 5280, sections 4.2.1.9, 4.2.1.10 and 4.2.1.12, as OpenSSL implements them.
"""

import ssl
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from jobs.serving import authority
from jobs.serving.names import van_of


def handshake(identity, host, server_file=None):
    """A whole TLS handshake in memory. The client trusts this authority and no other."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(server_file or identity.server_file)
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.load_verify_locations(cadata=identity.authority_der)
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    theirs = server.wrap_bio(to_server, to_client, server_side=True)
    ours = client.wrap_bio(to_client, to_server, server_hostname=host)
    waiting = [ours, theirs]
    for _turn in range(10):
        for side in list(waiting):
            try:
                side.do_handshake()
                waiting.remove(side)
            except ssl.SSLWantReadError:
                continue
    assert waiting == []
    return ours.getpeercert()


def forged(identity, home, host):
    """A certificate for another host, signed with the van's own authority key."""
    folder = home / identity.van.host.strip("[]").replace(":", "-")
    ca, ca_key = authority._loaded(folder / "authority.pem")
    key = ec.generate_private_key(ec.SECP256R1())
    made = authority._server_sign(van_of(host), key, ca, ca_key, datetime.now(UTC))
    authority._write(home / "forged.pem", key, made)
    return home / "forged.pem"


@pytest.mark.parametrize("van", ["van.local", "192.168.8.2", "fd00::2"])
def test_a_client_that_trusts_only_this_authority_accepts_the_van(tmp_path, van):
    identity = authority.identity_of(van_of(van), home=tmp_path)
    assert handshake(identity, van)["notAfter"]


@pytest.mark.parametrize("van", ["van.local", "192.168.8.2", "fd00::2"])
@pytest.mark.parametrize("other", ["bank.example", "other.local", "192.168.8.3", "fd00::3"])
def test_what_the_authority_signs_for_another_host_is_refused(tmp_path, van, other):
    identity = authority.identity_of(van_of(van), home=tmp_path)
    with pytest.raises(ssl.SSLCertVerificationError, match=r"permitted subtree|excluded subtree"):
        handshake(identity, other, forged(identity, tmp_path, other))


def test_the_keys_are_their_owners_only(tmp_path):
    authority.identity_of(van_of("van"), home=tmp_path)
    files = sorted(tmp_path.rglob("*.pem"))
    assert [(file.name, file.stat().st_mode & 0o777) for file in files] == [
        ("authority.pem", 0o600),
        ("server.pem", 0o600),
    ]
    assert (tmp_path / "van.local").stat().st_mode & 0o777 == 0o700


def test_both_are_kept_until_a_month_before_the_certificate_ends(tmp_path):
    now = datetime.now(UTC) - timedelta(days=61)
    van = van_of("van")
    first = authority.identity_of(van, home=tmp_path, now=now)
    assert authority.identity_of(van, home=tmp_path, now=now + timedelta(days=59)) == first
    later = authority.identity_of(van, home=tmp_path, now=now + timedelta(days=61))
    assert later.authority == first.authority
    assert later.server.not_valid_after_utc > first.server.not_valid_after_utc
    assert handshake(later, "van.local")


def test_an_authority_that_would_end_before_its_certificate_is_replaced(tmp_path):
    now = datetime.now(UTC)
    van = van_of("van")
    first = authority.identity_of(van, home=tmp_path, now=now)
    end = now + authority.AUTHORITY_LASTS - timedelta(days=80)
    later = authority.identity_of(van, home=tmp_path, now=end)
    assert later.authority != first.authority


@pytest.mark.parametrize("left", [b"", b"-----BEGIN CERTIFICATE-----\n"])
@pytest.mark.parametrize("name", ["authority.pem", "server.pem"])
def test_a_file_that_was_damaged_is_made_again(tmp_path, name, left):
    authority.identity_of(van_of("van"), home=tmp_path)
    (tmp_path / "van.local" / name).write_bytes(left)
    assert handshake(authority.identity_of(van_of("van"), home=tmp_path), "van.local")


def test_the_certificate_is_one_that_tablets_accept(tmp_path):
    """Apple, "Requirements for trusted certificates in iOS 13 and macOS 10.15": at most 825
    days, the name among the alternative names, for servers."""
    server = authority.identity_of(van_of("van"), home=tmp_path).server
    assert server.not_valid_after_utc - server.not_valid_before_utc <= timedelta(days=825)
    names = server.extensions.get_extension_for_class(authority.x509.SubjectAlternativeName).value
    assert names.get_values_for_type(authority.x509.DNSName) == ["van.local"]


def test_another_name_gets_an_authority_of_its_own(tmp_path):
    one = authority.identity_of(van_of("van"), home=tmp_path)
    other = authority.identity_of(van_of("van2"), home=tmp_path)
    assert one.authority != other.authority
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(replace(one, server_file=other.server_file), "van2.local")
