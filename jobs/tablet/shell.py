"""The service worker's script: the files it keeps, their version, and the worker itself."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

OWN = ("paddock/", "board/", "tablet/", "workbench/", "manual/")
ENDINGS = (".css", ".js", ".svg")
PACKAGED = ("django_htmx/htmx-2.min.js",)
WORKER = "tablet/worker.js"


@require_GET
@never_cache
def service_worker(request: HttpRequest) -> HttpResponse:
    """Its text changes with any file it keeps, so that browsers fetch the new version."""
    names, version = shell()
    kept = [static(name) for name in names if name != WORKER]
    kept += [reverse("javascript-catalog"), reverse("tablet:home")]
    lines = [
        f"self.VERSION = {json.dumps(version)};",
        f"self.SHELL = {json.dumps(kept)};",
        f"self.HOME = {json.dumps(reverse('tablet:home'))};",
        f"importScripts({json.dumps(static(WORKER))});",
    ]
    return HttpResponse("\n".join(lines), content_type="text/javascript")


@require_GET
def manifest(request: HttpRequest) -> HttpResponse:
    """Makes the trackside pages installable (W3C Web Application Manifest)."""
    icon = {"type": "image/svg+xml", "sizes": "any"}
    described = {
        "name": _("Paddock, trackside"),
        "short_name": _("Paddock"),
        "start_url": reverse("home"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#f4f1ea",
        "theme_color": "#1c1b19",
        "icons": [
            {"src": static("paddock/icon.svg"), "purpose": "any", **icon},
            {"src": static("paddock/icon-maskable.svg"), "purpose": "maskable", **icon},
        ],
    }
    return JsonResponse(described, content_type="application/manifest+json")


def shell() -> tuple[list[str], str]:
    """The names of the static files pages are made of, and a hash of their contents."""
    return _shell() if not settings.WHITENOISE_AUTOREFRESH else _shell.__wrapped__()


@cache
def _shell() -> tuple[list[str], str]:
    names = list(PACKAGED)
    for finder in finders.get_finders():
        names += [n for n, _s in finder.list([]) if n.startswith(OWN) and n.endswith(ENDINGS)]
    mark = hashlib.sha256()
    for name in sorted(set(names)):
        mark.update(name.encode() + _content(name))
    return sorted(set(names)), mark.hexdigest()[:16]


def _content(name: str) -> bytes:
    found = finders.find(name)
    return Path(found).read_bytes() if found else staticfiles_storage.url(name).encode()
