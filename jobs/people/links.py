"""Signed, expiring links that open one customer's pages without a password."""

from sesame.utils import get_token, get_user

from .enums import Role
from .models import Customer, User
from .services import customer_user

SCOPE = "my bikes"


def token_make(*, customer: Customer) -> str:
    """A token for this customer alone. It expires, and is invalid once links are withdrawn."""
    return str(get_token(customer_user(customer=customer), scope=SCOPE))


def token_user(*, token: str) -> User | None:
    """The customer whose pages a token opens; None: it is expired, withdrawn or not valid."""
    user = get_user(token, scope=SCOPE)
    if isinstance(user, User) and user.is_active and user.role == Role.CUSTOMER:
        return user
    return None
