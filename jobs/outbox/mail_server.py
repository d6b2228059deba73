"""The one mail server letters go out by: the environment's, else the one set on screen.

``MAIL_URL`` wins over what is set on screen, and ``MAIL_FROM`` over the sender.
"""

from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection

from .enums import Encryption
from .mail_password import password_of
from .mail_refusals import MailRefused, refusal_words
from .models import MailAccount

KEEPS_ONLY = "django.core.mail.backends.dummy.EmailBackend"
OVER_SMTP = "django.core.mail.backends.smtp.EmailBackend"


@dataclass(frozen=True)
class MailServer:
    """``proof``: what a test letter proves. Changed in anything, the server is to be tried."""

    host: str
    port: int
    encryption: str
    user: str
    sender: str
    password: str = field(default="", repr=False)
    by_environment: bool = False

    @property
    def proof(self) -> str:
        return f"{self.encryption} {self.user}@{self.host}:{self.port} {self.sender}"


def by_environment() -> bool:
    """Whether MAIL_URL is set: then nothing on screen changes where letters go."""
    return bool(settings.EMAIL_BACKEND != KEEPS_ONLY)


def account_get() -> MailAccount:
    """What is set on screen, an empty row before that. One query."""
    return MailAccount.objects.first() or MailAccount()


def server_now(account: MailAccount) -> MailServer | None:
    """The server letters would go by; None: none is set, or its password is not here."""
    if by_environment():
        return _of_environment()
    password = password_of(account.server) if account.user else ""
    if not account.host or (account.user and not password):
        return None
    return MailServer(
        account.host, account.port or 0, account.encryption, account.user,
        settings.MAIL_FROM or account.sender, password,
    )  # fmt: skip


def is_proven(account: MailAccount) -> bool:
    """Whether a test letter went out by the server of now."""
    server = server_now(account)
    return server is not None and server.proof == account.proven_as


def mail_is_set_up() -> bool:
    """Whether letters leave this machine; else each is only kept. At most one query.

    A server set on screen counts once its test letter went out: with a wrong password the desk
    would say that a letter is on its way. Who sets MAIL_URL is taken at their word.
    """
    return by_environment() or is_proven(account_get())


def letter_send(
    *,
    server: MailServer,
    to: str,
    subject: str,
    text: str,
    html: str = "",
    message_id: str = "",
    reply_to: str = "",
) -> None:
    """Send one letter now. An answer goes to ``reply_to``, else to the sender.

    Raises MailRefused in words, never with the password in them.
    """
    domain = server.sender.rpartition("@")[2].strip("> ") or "localhost"
    headers = {"Message-ID": f"<{message_id}@{domain}>"} if message_id else {}
    connection = _connection(server)
    message = EmailMultiAlternatives(
        subject,
        text,
        server.sender,
        [to],
        headers=headers,
        connection=connection,
        reply_to=[reply_to] if reply_to else None,
    )
    if html:
        message.attach_alternative(html, "text/html")
    try:
        message.send()
    except (OSError, UnicodeError) as error:  # every error of smtplib is an OSError
        words = refusal_words(error, host=server.host, port=server.port, to=to)
        raise MailRefused(words) from error
    finally:  # a sign-in that is refused leaves it open
        with suppress(OSError):
            connection.close()


def server_to_send_by() -> MailServer:
    """The server of now. Raises MailRefused where there is none: ask ``mail_is_set_up`` first."""
    server = server_now(account_get())
    if server is None:
        raise MailRefused("no mail server is set up")
    return server


def _of_environment() -> MailServer:
    encryption = Encryption.NONE
    if settings.EMAIL_USE_SSL:
        encryption = Encryption.TLS
    elif settings.EMAIL_USE_TLS:
        encryption = Encryption.STARTTLS
    return MailServer(
        settings.EMAIL_HOST, settings.EMAIL_PORT, encryption, settings.EMAIL_HOST_USER,
        settings.DEFAULT_FROM_EMAIL, by_environment=True,
    )  # fmt: skip


def _connection(server: MailServer) -> Any:
    if server.by_environment:
        return get_connection()
    return get_connection(
        OVER_SMTP,
        host=server.host,
        port=server.port,
        username=server.user,
        password=server.password,
        use_ssl=server.encryption == Encryption.TLS,
        use_tls=server.encryption == Encryption.STARTTLS,
    )
