"""Handing a photo out. The view that calls this has already asked who may see it."""

from django.http import FileResponse, Http404

from .models import Photo


def photo_response(photo: Photo, *, small: bool = False) -> FileResponse:
    """The picture for this browser alone; shared caches may not keep it."""
    file = photo.small if small else photo.picture
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
