"""What a mail server's refusal means, in words, with the server's own words after it."""

import smtplib
import socket
import ssl

from django.utils.translation import gettext as _


class MailRefused(Exception):
    """A letter did not go out; the message says why in words that a person can act on."""


def refusal_words(error: Exception, *, host: str, port: int, to: str) -> str:
    """Why the letter did not go out.

    >>> refusal_words(ConnectionRefusedError(), host="smtp.example", port=465, to="a@b.example")
    'smtp.example accepts no connection on port 465. Is the port right?'
    """
    where = {"host": host, "port": port, "to": to}
    for kind, words in _network() + _protocol():
        if isinstance(error, kind):
            return " ".join(filter(None, (words % where, _reply(error))))
    return " ".join(filter(None, (_("%(host)s refused the letter.") % where, _reply(error))))


def _network() -> list[tuple[type[Exception], str]]:
    return [
        (socket.gaierror, _("No server of the name %(host)s is found. Is it spelled right?")),
        (TimeoutError, _("%(host)s did not answer on port %(port)s. Is the port right?")),
        (
            ConnectionRefusedError,
            _("%(host)s accepts no connection on port %(port)s. Is the port right?"),
        ),
        (
            ssl.SSLCertVerificationError,
            _("The certificate of %(host)s is not valid for this name, so nothing was sent."),
        ),
        (
            ssl.SSLError,
            _("%(host)s speaks another encryption on port %(port)s. Try STARTTLS on 587, or TLS "
              "on 465."),
        ),
    ]  # fmt: skip


def _protocol() -> list[tuple[type[Exception], str]]:
    return [
        (
            smtplib.SMTPAuthenticationError,
            _("%(host)s refused user or password. Some providers ask for a password made for "
              "programs."),
        ),
        (smtplib.SMTPSenderRefused, _("%(host)s does not send for this sender.")),
        (smtplib.SMTPRecipientsRefused, _("%(host)s does not send to %(to)s.")),
        (
            smtplib.SMTPNotSupportedError,
            _("%(host)s offers no sign-in with this encryption on port %(port)s."),
        ),
        (
            smtplib.SMTPServerDisconnected,
            _("%(host)s ended the conversation. Try the other encryption and its port."),
        ),
        (UnicodeError, _("Mail servers take only ASCII letters in server, user and password.")),
    ]  # fmt: skip


def _reply(error: Exception) -> str:
    """The words of the server. Of other errors none: they may quote what was typed."""
    found = None
    if isinstance(error, smtplib.SMTPResponseException):
        found = (error.smtp_code, error.smtp_error)
    elif isinstance(error, smtplib.SMTPRecipientsRefused):
        found = next(iter(error.recipients.values()), None)
    if found is None:
        return ""
    code, said = found
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else str(said)
    return _("It said: %s") % f"{code} {' '.join(words.split())}"[:300]
