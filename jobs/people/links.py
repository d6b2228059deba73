"""Links that sign one customer in without a password: each once, until it runs out.

Opening a link uses nothing up (programs that scan mail open links); the button on its page
does. Only a keyed hash is kept, so neither the table nor a backup opens anybody's pages.
"""

import hmac
import secrets
from datetime import UTC, datetime, timedelta

from django.conf import settings

from .enums import Role
from .models import Customer, SignInLink, User
from .services import customer_user

AT_THE_VAN = timedelta(minutes=15)  # of a code on the screen, scanned at once


def token_make(*, customer: Customer, lasts: timedelta | None = None) -> str:
    """A token for this customer alone; without ``lasts`` it opens for LINK_DAYS."""
    customer_user(customer=customer)
    now = datetime.now(UTC)
    SignInLink.objects.filter(until__lt=now).delete()
    token = secrets.token_urlsafe(24)
    until = now + (lasts or timedelta(days=settings.LINK_DAYS))
    SignInLink.objects.create(customer=customer, token_hash=_digest(token), until=until)
    return token


def token_user(*, token: str) -> User | None:
    """Whom a token would sign in; None: it is used, expired, withdrawn or not valid."""
    link = _open_link(token)
    return _customer_user(link) if link else None


def token_use(*, token: str) -> User | None:
    """Use the token up and return whom it signs in. Of two at the same time one gets None."""
    link = _open_link(token)
    user = _customer_user(link) if link else None
    if link is None or user is None:
        return None
    unused = SignInLink.objects.filter(pk=link.pk, used_at=None)
    return user if unused.update(used_at=datetime.now(UTC)) else None


def _open_link(token: str) -> SignInLink | None:
    rows = SignInLink.objects.select_related("customer__user")
    unused = rows.filter(used_at=None, until__gt=datetime.now(UTC))
    return unused.filter(token_hash=_digest(token)).first()


def _customer_user(link: SignInLink) -> User | None:
    user = link.customer.user
    return user if user and user.is_active and user.role == Role.CUSTOMER else None


def _digest(token: str) -> str:
    key = settings.SECRET_KEY.encode()
    return hmac.new(key, f"link:{token}".encode(errors="replace"), "sha256").hexdigest()
