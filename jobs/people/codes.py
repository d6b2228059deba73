"""Codes that a person reads and types: long enough that nobody finds one by trying."""

import hmac
import secrets

from django.conf import settings

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"  # without those read one for another: I L O 0 1
LENGTH = 8  # 31**8: some 850 thousand million codes


def code_make() -> str:
    """A new code, as ``ABCD-EFGH``."""
    code = "".join(secrets.choice(LETTERS) for _letter in range(LENGTH))
    return f"{code[:4]}-{code[4:]}"


def code_digest(code: str, *, purpose: str) -> str:
    """Keyed: a stolen table alone cannot be tried. Letter case and separators do not count."""
    plain = "".join(letter for letter in code.upper() if letter.isalnum())
    words = f"{purpose}{plain}".encode(errors="replace")
    return hmac.new(settings.SECRET_KEY.encode(), words, "sha256").hexdigest()
