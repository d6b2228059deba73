"""An authority that can speak for one name or address only, and the server's certificate.

Installing an authority on a tablet gives whoever has its key the power to pretend to be what
it may sign for. So it is limited by name constraints (RFC 5280, section 4.2.1.10) to the van's
one name or address, to servers, and to signing no further authority. Its key stays in its
folder, readable by its owner only, and is never served. Of backups only encrypted ones hold it.

A certificate lasts 90 days and is renewed 30 days before its end. Platforms accept at most
825 days from an authority a person installed (Apple, "Requirements for trusted certificates
in iOS 13 and macOS 10.15").
"""

import contextlib
import hashlib
import ipaddress
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from django.conf import settings

from .names import Van

AUTHORITY_LASTS = timedelta(days=3650)
CERTIFICATE_LASTS = timedelta(days=90)
AUTHORITY = "authority.pem"
RENEWED_BEFORE = timedelta(days=30)
CLOCKS_DIFFER = timedelta(days=1)  # a tablet whose clock is behind accepts it all the same
NO_NAME = "none.invalid"  # RFC 2606: no machine has it, so no name but this is permitted
SERVER_CALLED = "Paddock server"  # no host name: OpenSSL would hold it against the constraints
EVERY_ADDRESS = ("0.0.0.0/0", "::/0")


@dataclass(frozen=True)
class Identity:
    """A van's authority, and its server's certificate with the file a server reads it from."""

    van: Van
    authority: x509.Certificate
    server: x509.Certificate
    server_file: Path  # the key and the certificate

    @property
    def authority_der(self) -> bytes:
        """What a tablet installs."""
        return self.authority.public_bytes(serialization.Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the authority, as devices show it: ``AB:CD:...``."""
        return hashlib.sha256(self.authority_der).digest().hex(":").upper()


def home() -> Path:
    """Where authorities and certificates are kept, a folder for each name."""
    return Path(settings.DATA_DIR) / "serving"


def authorities_kept() -> dict[str, Path]:
    """The file of each authority, with its key, by its path in ``home()``."""
    return {file.relative_to(home()).as_posix(): file for file in home().glob(f"*/{AUTHORITY}")}


def authority_bring(name: str, content: bytes) -> None:
    """Put an authority, as ``authorities_kept`` names it, into this place: its owner's only."""
    folder, _slash, file = name.partition("/")
    if file != AUTHORITY or folder in ("", ".", ".."):
        raise ValueError(f"{name} is no authority's file")
    to = home() / folder / AUTHORITY
    to.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    to.touch(mode=0o600)
    to.write_bytes(content)


def identity_of(van: Van, *, home: Path, now: datetime | None = None) -> Identity:
    """The van's authority and certificate, made or renewed where that is due.

    An authority is kept for as long as it can sign a whole certificate; tablets have to install
    the one that follows it. Every file of a key has mode 600.
    """
    now = now or datetime.now(UTC)
    folder = home / van.host.strip("[]").replace(":", "-")
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    authority, authority_key = _authority(van, folder / AUTHORITY, now)
    file = folder / "server.pem"
    server = kept[0] if (kept := _loaded(file)) else None
    if server is None or is_due(server, now) or not _signed(server, authority):
        key = ec.generate_private_key(ec.SECP256R1())
        server = _server_sign(van, key, authority, authority_key, now)
        _write(file, key, server)
    return Identity(van, authority, server, file)


def is_due(certificate: x509.Certificate, now: datetime) -> bool:
    """Whether it ends soon enough to be renewed."""
    return certificate.not_valid_after_utc - now < RENEWED_BEFORE


def _authority(
    van: Van, file: Path, now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    kept = _loaded(file)
    if kept and kept[0].not_valid_after_utc - now > CERTIFICATE_LASTS:
        return kept
    key = ec.generate_private_key(ec.SECP256R1())
    made = _authority_sign(van, key, now)
    _write(file, key, made)
    return made, key


def _authority_sign(van: Van, key: ec.EllipticCurvePrivateKey, now: datetime) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Paddock for {van.host}"[:64])])
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_DIFFER)
        .not_valid_after(now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_key_usage(signs=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_constraints(van), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _constraints(van: Van) -> x509.NameConstraints:
    """A kind of name that is not mentioned is not limited: so both kinds are."""
    if van.address is None:
        return x509.NameConstraints(
            permitted_subtrees=[x509.DNSName(van.name)],
            excluded_subtrees=[x509.IPAddress(ipaddress.ip_network(one)) for one in EVERY_ADDRESS],
        )
    other = "::/0" if van.address.version == 4 else "0.0.0.0/0"
    return x509.NameConstraints(
        permitted_subtrees=[
            x509.IPAddress(ipaddress.ip_network(van.address)),
            x509.DNSName(NO_NAME),
        ],
        excluded_subtrees=[x509.IPAddress(ipaddress.ip_network(other))],
    )


def _server_sign(
    van: Van,
    key: ec.EllipticCurvePrivateKey,
    authority: x509.Certificate,
    authority_key: ec.EllipticCurvePrivateKey,
    now: datetime,
) -> x509.Certificate:
    names: list[x509.GeneralName] = (
        [x509.DNSName(van.name)] if van.address is None else [x509.IPAddress(van.address)]
    )
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, SERVER_CALLED)]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_DIFFER)
        .not_valid_after(now + CERTIFICATE_LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_key_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()),
            critical=False,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def _key_usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _loaded(file: Path) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey] | None:
    """The certificate in that file and its key; None: there is none, or not a whole one."""
    with contextlib.suppress(OSError, ValueError):
        pem = file.read_bytes()
        key = serialization.load_pem_private_key(pem, password=None)
        certificate = x509.load_pem_x509_certificate(pem)
        if isinstance(key, ec.EllipticCurvePrivateKey):
            return (certificate, key) if key.public_key() == certificate.public_key() else None
    return None


def _signed(certificate: x509.Certificate, authority: x509.Certificate) -> bool:
    with contextlib.suppress(ValueError, TypeError, InvalidSignature):
        certificate.verify_directly_issued_by(authority)
        return True
    return False


def _write(file: Path, key: ec.EllipticCurvePrivateKey, certificate: x509.Certificate) -> None:
    """Key and certificate in one file, so that they always belong together. Its owner's only."""
    pem = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    unfinished = file.with_suffix(".unfinished")
    unfinished.unlink(missing_ok=True)
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(pem + certificate.public_bytes(serialization.Encoding.PEM))
    os.replace(unfinished, file)
