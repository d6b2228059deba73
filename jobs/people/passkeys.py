"""Passkeys as a second factor: a key pair of which we keep the public half (W3C, WebAuthn 2).

The phone, computer or security key signs a number that we chose, for one server name only: a
page of another name gets nothing out of it. So there are none where the address is a number.
The checks of the standard are those of python-fido2. The number is kept in the session and
works once. Which browsers are asked, and recovery codes: ``second_factor.py``.
"""

import ipaddress
import json
import logging
from collections.abc import Callable
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any, TypeVar
from urllib.parse import urlsplit

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _
from fido2.server import Fido2Server
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
    PublicKeyCredentialUserEntity,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from .models import Passkey, User

log = logging.getLogger(__name__)

MOST = 10  # of one person
LONGEST_ANSWER = 20_000
LONGEST_NAME = 60
USER_SALT = "people.passkeys.user"
ASKED = "passkey-asked"  # the key in the session
Judged = TypeVar("Judged")
PREFERRED = UserVerificationRequirement.PREFERRED


def host_of(request: HttpRequest) -> str:
    """The name that passkeys are made for here; empty where browsers make none.

    They make none for an address in numbers, and none without https but on this very computer.
    """
    host = urlsplit(f"//{request.get_host()}").hostname or ""
    if host == "localhost":
        return host
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return host if request.is_secure() else ""
    return ""


def passkeys_of(user: User) -> QuerySet[Passkey]:
    return Passkey.objects.filter(user=user).order_by("made_at", "pk")


def passkey_ask_new(
    request: HttpRequest, *, user: User, name: str, business: str
) -> dict[str, Any]:
    """What the browser is given to make a key. Raises ValidationError in words."""
    name = " ".join(name.split())
    if not name:
        raise ValidationError(_("Give the key a name, so that you know which one it is."))
    if len(name) > LONGEST_NAME or "\0" in name:
        raise ValidationError(_("A name of at most 60 letters, please."))
    keys = list(passkeys_of(user))
    if len(keys) >= MOST:
        raise ValidationError(_("You have ten keys already: remove one first."))
    options, state = _server(request, business).register_begin(
        PublicKeyCredentialUserEntity(
            id=_user_handle(user), name=user.username, display_name=user.display_name
        ),
        [_credential(key) for key in keys],
        resident_key_requirement=ResidentKeyRequirement.PREFERRED,
        user_verification=PREFERRED,
    )
    request.session[ASKED] = {"state": state, "new": name, "user": user.pk}
    return dict(options)


def passkey_add(request: HttpRequest, *, user: User, answer: str) -> Passkey:
    """Keep the public half of the key that the browser made. Raises ValidationError in words."""
    asked = _asked(request, user)
    server, name = _server(request), asked.get("new", "")

    def judged(given: dict[str, Any]) -> tuple[AttestedCredentialData, int]:
        made = server.register_complete(asked["state"], given)
        if made.credential_data is None:
            raise ValueError("no key")
        return made.credential_data, made.counter

    credential, counter = _checked(answer, judged)
    id_hash = sha256(credential.credential_id).hexdigest()
    if not name or Passkey.objects.filter(id_hash=id_hash).exists():
        raise ValidationError(_("This key is kept already."))
    return Passkey.objects.create(
        user=user,
        name=name,
        host=host_of(request),
        id_hash=id_hash,
        credential=bytes(credential),
        counter=counter,
    )


def passkey_ask(request: HttpRequest, *, user: User) -> dict[str, Any]:
    """What the browser is given to use a key. Raises ValidationError where none is of this name."""
    keys = list(passkeys_of(user).filter(host=host_of(request)))
    if not keys:
        raise ValidationError(_("You have no passkey for this address."))
    options, state = _server(request).authenticate_begin(
        [_credential(key) for key in keys], user_verification=PREFERRED
    )
    request.session[ASKED] = {"state": state, "user": user.pk}
    return dict(options)


def passkey_check(request: HttpRequest, *, user: User, answer: str) -> Passkey:
    """The key that signed what it was asked. Raises ValidationError in words.

    A key that counts its uses must have counted further, else there are two of it (WebAuthn 2,
    section 7.2).
    """
    asked = _asked(request, user)
    keys = {bytes(key.credential): key for key in passkeys_of(user).filter(host=host_of(request))}
    known = [AttestedCredentialData(one) for one in keys]
    server = _server(request)

    def judged(given: dict[str, Any]) -> tuple[Passkey, int]:
        used = server.authenticate_complete(asked["state"], known, given)
        return keys[bytes(used)], _counter(given)

    key, counter = _checked(answer, judged)
    same = Passkey.objects.filter(pk=key.pk)
    forward = same.filter(counter__lt=counter) if counter or key.counter else same
    if not forward.update(counter=counter, used_at=datetime.now(UTC)):
        log.warning("passkey %s of user %s counted backwards: there may be two", key.pk, user.pk)
        raise ValidationError(_("This key may have been copied, and is not accepted."))
    return key


def _server(request: HttpRequest, business: str = "") -> Fido2Server:
    host = host_of(request)
    if not host:
        raise ValidationError(_("Passkeys need an https address that is a name."))
    here = f"{request.scheme}://{request.get_host()}"
    rp = PublicKeyCredentialRpEntity(id=host, name=business or host)
    return Fido2Server(rp, verify_origin=lambda origin: origin == here)


def _asked(request: HttpRequest, user: User) -> dict[str, Any]:
    """What this browser was asked last: it is answered once, by the same person."""
    asked = request.session.pop(ASKED, None)
    if not asked or asked["user"] != user.pk:
        raise ValidationError(_("The key was asked too long ago. Please try again."))
    return dict(asked)


def _checked(answer: str, judge: Callable[[dict[str, Any]], Judged]) -> Judged:
    """What ``judge`` makes of the browser's answer. Raises ValidationError in words.

    The library raises whatever it stumbles upon in bytes that nobody meant well.
    """
    try:
        if len(answer) > LONGEST_ANSWER:
            raise ValueError("too long")
        return judge(json.loads(answer))
    except Exception as fault:
        log.warning("a passkey's answer was not accepted: %s", type(fault).__name__)
        raise ValidationError(_("That key was not accepted.")) from fault


def _counter(given: dict[str, Any]) -> int:
    return int(AuthenticationResponse.from_dict(given).response.authenticator_data.counter)


def _credential(key: Passkey) -> AttestedCredentialData:
    return AttestedCredentialData(bytes(key.credential))


def _user_handle(user: User) -> bytes:
    """The standard wants nothing personal in it, and always the same of one person."""
    return salted_hmac(USER_SALT, str(user.pk), algorithm="sha256").digest()
