"""Tries to sign in by name and password: how many, from where, on which browser.

A try counts for the person together with the address, and for the address. A browser that the
person signed in on before shows a signed cookie and has an allowance of its own instead: nobody
else can use it up. So a stranger who tries many passwords makes only their own address wait, and
never a person on a browser they know.

A name is never looked up or kept here: only its keyed hash.
"""

import logging
import secrets
import unicodedata
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from . import throttle
from .addresses import address_of
from .models import User
from .one_hash import TooManyHashes

log = logging.getLogger(__name__)

ADDRESS_TRIES = 20  # a whole paddock may share one address
KNOWN_AGE_S = 400 * 24 * 60 * 60  # the longest browsers keep a cookie
KNOWN_SALT = "people.sign_in.known"
MOST_KNOWN = 16  # two for each person whom one browser remembers

PAIR, ADDRESS, KNOWN = "person and address", "address", "known browser"


@dataclass(frozen=True)
class SignInTry:
    """One try that was counted, until it is judged."""

    username: str
    address: str
    browser: str  # its id where this person signed in on it before, else empty

    def right(self) -> None:
        """Forget the wrong tries of this person here."""
        throttle.passed(*self._person())
        if not self.browser:
            throttle.give_back(ADDRESS, self.address)

    def wrong(self) -> None:
        """Into the log: of whom, if there is such a person, never what was typed."""
        user = User.objects.filter(username=self.username).first()
        whom = f"of user {user.pk}" if user else "of a name that nobody has"
        log.warning("wrong password %s from %s", whom, self.address or "an unknown address")

    def not_judged(self) -> None:
        throttle.give_back(*self._person())
        if not self.browser:
            throttle.give_back(ADDRESS, self.address)

    def _person(self) -> tuple[str, str]:
        """What the try counts for, beside the address."""
        name = _digest(self.username)
        return (
            (KNOWN, f"{self.browser}:{name}") if self.browser else (PAIR, f"{self.address}:{name}")
        )


def begin(request: HttpRequest, username: str) -> SignInTry:
    """Count a try before any password is hashed. Raises TooManyTries, in words."""
    browser, names = _known(request)
    address = address_of(request)
    known_here = browser if _digest(username) in names else ""
    one = SignInTry(username=username, address=address, browser=known_here)
    try:
        if one.browser:
            throttle.take(*one._person())
        else:
            throttle.check(ADDRESS, address)
            throttle.take(*one._person())
            throttle.take(ADDRESS, address, tries=ADDRESS_TRIES)
    except throttle.TooManyTries as fault:
        log.warning("a try to sign in from %s was refused for %s s", address, fault.seconds)
        raise
    return one


def forget(request: HttpRequest, username: str) -> None:
    """Wrong tries of this person here do not count any more: they proved who they are."""
    browser, names = _known(request)
    known_here = browser if _digest(username) in names else ""
    one = SignInTry(username=username, address=address_of(request), browser=known_here)
    throttle.passed(*one._person())


def own_password_confirm(user: AbstractBaseUser, password: str) -> None:
    """Raises ValidationError in words unless it is the password of who is signed in.

    Counted: whoever found a browser signed in must not find the password there.
    """
    throttle.take("own password", str(user.pk))
    try:
        right = user.check_password(password)
    except TooManyHashes:
        throttle.give_back("own password", str(user.pk))
        raise
    if not right:
        log.warning("wrong own password of user %s, who is signed in", user.pk)
        raise ValidationError(_("That is not your password."))
    throttle.passed("own password", str(user.pk))


def remember(
    request: HttpRequest, response: HttpResponse, user: AbstractBaseUser, *more: str
) -> None:
    """This browser is known to this person from now on, and by ``more`` for ``is_known``."""
    browser, kept = _known(request)
    new = [_digest(words) for words in (user.get_username(), *more)]
    marks = [*new, *(mark for mark in kept if mark not in new)][:MOST_KNOWN]
    response.set_signed_cookie(
        settings.KNOWN_COOKIE_NAME,
        ".".join([browser or secrets.token_urlsafe(12), *marks]),
        salt=KNOWN_SALT,
        max_age=KNOWN_AGE_S,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
    )


def is_known(request: HttpRequest, words: str) -> bool:
    """Whether this browser remembers ``words``, which ``remember`` was told."""
    return _digest(words) in _known(request)[1]


def _known(request: HttpRequest) -> tuple[str, list[str]]:
    """The browser's id and the people who signed in on it, by the hash of their names."""
    kept = request.get_signed_cookie(
        settings.KNOWN_COOKIE_NAME, default="", salt=KNOWN_SALT, max_age=KNOWN_AGE_S
    )
    browser, *names = (kept or "").split(".")
    return browser, names


def _digest(words: str) -> str:
    name = unicodedata.normalize("NFKC", words).casefold()
    return salted_hmac(KNOWN_SALT, name, algorithm="sha256").hexdigest()[:24]
