"""A device that keeps passkeys, in software: what a browser answers for it (W3C, WebAuthn 2)."""

import hashlib
import json
from dataclasses import dataclass, field
from typing import Any

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import (
    Aaguid,
    AttestationObject,
    AttestedCredentialData,
    AuthenticatorData,
    CollectedClientData,
)

PRESENT, VERIFIED, HAS_KEY = 0x01, 0x04, 0x40  # section 6.1, the flags


@dataclass
class Device:
    """One key pair. ``counter`` is what it says of its uses; 0 where it does not count."""

    origin: str = "https://testserver"
    counter: int = 0
    private: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )
    id: bytes = b"a key of the tests"

    def made(self, asked: dict[str, Any]) -> str:
        """The answer to a request for a new key."""
        public = ES256.from_cryptography_key(self.private.public_key())
        kept = AttestedCredentialData.create(Aaguid(bytes(16)), self.id, public)
        data = self._data(asked["publicKey"]["rp"]["id"], HAS_KEY, kept)
        attested = AttestationObject.create("none", data, {})
        said = self._said(CollectedClientData.TYPE.CREATE, asked)
        return self._answer(clientDataJSON=said, attestationObject=attested)

    def used(self, asked: dict[str, Any]) -> str:
        """The answer to a request for a signature."""
        data = self._data(asked["publicKey"]["rpId"])
        said = self._said(CollectedClientData.TYPE.GET, asked)
        signed = self.private.sign(
            bytes(data) + hashlib.sha256(said).digest(), ec.ECDSA(hashes.SHA256())
        )
        return self._answer(clientDataJSON=said, authenticatorData=data, signature=signed)

    def _data(self, host: str, flags: int = 0, kept: bytes = b"") -> AuthenticatorData:
        of_host = hashlib.sha256(host.encode()).digest()
        return AuthenticatorData.create(of_host, PRESENT | VERIFIED | flags, self.counter, kept)

    def _said(self, kind: str, asked: dict[str, Any]) -> CollectedClientData:
        return CollectedClientData.create(kind, asked["publicKey"]["challenge"], self.origin)

    def _answer(self, **response: bytes) -> str:
        encoded = {name: websafe_encode(bytes(value)) for name, value in response.items()}
        key = websafe_encode(self.id)
        return json.dumps({"id": key, "rawId": key, "type": "public-key", "response": encoded})
