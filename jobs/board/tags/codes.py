"""The square code of a tag: the plain address of a bike, for any phone's camera.

QR Code (ISO/IEC 18004), error correction Q: a quarter of it may be dirty or torn. The
address says nothing of the bike; who opens it must be signed in.
"""

from urllib.parse import urlsplit

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from jobs.serving.names import is_this_machine


def tag_url(bike_id: int) -> str:
    return settings.PUBLIC_URL + reverse("board:tag", args=[bike_id])


def tag_svg(bike_id: int) -> SafeString:
    """Inline SVG with the quiet zone of four modules; black on white in every theme."""
    code = segno.make_qr(tag_url(bike_id), error="q", boost_error=False)
    svg = code.svg_inline(border=4, dark="#000", light="#fff", omitsize=True, svgclass="code")
    return mark_safe(svg)  # noqa: S308  drawn by segno from an address of our own


def only_here() -> bool:
    """Whether PUBLIC_URL still names this computer: no phone comes here by it."""
    return is_this_machine(urlsplit(settings.PUBLIC_URL).hostname or "")
