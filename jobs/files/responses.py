"""The response that serves a photo. The view that calls this has already checked access."""

from django.http import FileResponse, Http404

from .models import Photo


def photo_response(photo: Photo, *, small: bool = False) -> FileResponse:
    """The picture, for this browser only; shared caches may not keep it."""
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
