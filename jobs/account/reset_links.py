"""The one-time link with which a person who forgot their password sets a new one.

Django signs it over the password there is and the last sign-in: either a new password or a
sign-in ends it, and after an hour it opens nothing (PASSWORD_RESET_TIMEOUT).
"""

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from jobs.people.models import User


def reset_link(user: User) -> str:
    """The whole address. Whoever has it can set this person's password."""
    uid = urlsafe_base64_encode(force_bytes(user.pk))
    path = reverse("account:reset", args=[uid, default_token_generator.make_token(user)])
    return f"{settings.PUBLIC_URL}{path}"
