"""The response that serves a photo. The view that calls this has already checked access."""

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase

from .models import Photo


def photo_response(photo: Photo, *, small: bool = False) -> HttpResponseBase:
    """The picture, for this browser only; shared caches may not keep it.

    While it is still to be decoded, a sentence, and the browser asks again by itself.
    """
    if photo.waits:
        headers = {"Refresh": "2", "Retry-After": "2", "Cache-Control": "no-store"}
        return HttpResponse(photo.instead, content_type="text/plain", status=202, headers=headers)
    file = photo.small if small else photo.picture
    if not file:
        raise Http404
    try:
        opened = file.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    return FileResponse(
        opened,
        content_type="image/jpeg",
        headers={
            "Cache-Control": "private, max-age=86400, immutable",
            "Content-Disposition": f'inline; filename="{photo.pk}.jpg"',
        },
    )
