"""The page over http from which a tablet installs the authority, on a port of its own.

It answers these few addresses and nothing else, reads no database and no cookie, and never
the request's Host: whatever it says comes from the van's name and certificate.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import segno
from django.contrib.staticfiles.finders import find
from django.template.loader import render_to_string

from .authority import Identity

STYLES = ("paddock/tokens.css", "paddock/base.css", "paddock/parts.css", "serving/install.css")
POLICY = "default-src 'none'; style-src 'self'; img-src 'self'; frame-ancestors 'none'"
CERTIFICATE = "/paddock-authority.crt"

Answer = tuple[str, bytes]  # content type, body


@dataclass
class InstallPage:
    """A WSGI application. ``here`` is its own address, ``site`` the address it prepares for."""

    identity: Identity
    here: str
    site: str
    answers: dict[str, Callable[[], Answer]] = field(init=False)

    def __post_init__(self) -> None:
        self.answers = {
            "/": self._page,
            "/install.css": self._style,
            "/install.svg": self._code,
            CERTIFICATE: lambda: ("application/x-x509-ca-cert", self.identity.authority_der),
        }

    def __call__(
        self, environ: dict[str, Any], start_response: Callable[..., Any]
    ) -> Iterable[bytes]:
        answer = self.answers.get(environ.get("PATH_INFO", ""))
        if answer is None or environ["REQUEST_METHOD"] not in ("GET", "HEAD"):
            start_response("404 Not Found", [("Content-Type", "text/plain; charset=utf-8")])
            return [b"Nothing is here.\n"]
        kind, body = answer()
        headers = [
            ("Content-Type", kind),
            ("Content-Length", str(len(body))),
            ("Cache-Control", "no-store"),
            ("X-Content-Type-Options", "nosniff"),
            ("Content-Security-Policy", POLICY),
        ]
        start_response("200 OK", headers)
        return [] if environ["REQUEST_METHOD"] == "HEAD" else [body]

    def _page(self) -> Answer:
        context = {
            "van": self.identity.van.host,
            "here": self.here,
            "site": self.site,
            "certificate": CERTIFICATE,
            "authority": self.identity.authority.subject.rfc4514_string().removeprefix("CN="),
            "fingerprint": self.identity.fingerprint,
            "until": self.identity.authority.not_valid_after_utc,
            "announced": self.identity.van.is_announced,
        }
        page = render_to_string("serving/install.html", context)
        return "text/html; charset=utf-8", page.encode()

    def _style(self) -> Answer:
        texts = []
        for name in STYLES:
            with open(str(find(name)), "rb") as file:
                texts.append(file.read())
        return "text/css; charset=utf-8", b"\n".join(texts)

    def _code(self) -> Answer:
        code = segno.make(self.here, error="m", micro=False)
        svg = code.svg_inline(scale=6, border=4, dark="#000", light="#fff")
        named = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
        return "image/svg+xml", named.encode()
