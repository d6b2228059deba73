"""Taking a picture apart and writing it anew, so that nothing but its pixels is kept."""

import io
import warnings
from dataclasses import dataclass
from typing import IO

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from PIL import Image, ImageOps, UnidentifiedImageError

LARGEST_BYTES = 20 * 1024 * 1024
LARGEST_PIXELS = 60_000_000
FORMATS = ("JPEG", "PNG", "WEBP")
PICTURE_PX = 2000
SMALL_PX = 480
QUALITY = 82


@dataclass(frozen=True)
class Pictures:
    """JPEG bytes of the picture and of its small one; ``width`` x ``height`` pixels."""

    picture: bytes
    small: bytes
    width: int
    height: int


def reencode(upload: IO[bytes], size: int) -> Pictures:
    """Decode ``upload`` (``size`` bytes) and write it anew, turned upright, without metadata.

    Raises ValidationError in words for what is too large, no picture, or damaged.
    """
    if size > LARGEST_BYTES:
        raise ValidationError(_("A photo may have 20 MB at most."))
    image = _decoded(upload)
    picture = _fitted(image, PICTURE_PX)
    return Pictures(
        picture=_jpeg(picture),
        small=_jpeg(_fitted(picture, SMALL_PX)),
        width=picture.width,
        height=picture.height,
    )


def _decoded(upload: IO[bytes]) -> Image.Image:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(upload, formats=FORMATS)
            if image.width * image.height > LARGEST_PIXELS:
                raise ValidationError(_("A photo may have 60 megapixels at most."))
            image.load()
    except (UnidentifiedImageError, Image.DecompressionBombError):
        raise ValidationError(_("This is no JPEG, PNG or WebP picture.")) from None
    except (OSError, SyntaxError, ValueError):
        raise ValidationError(_("This picture is damaged and cannot be read.")) from None
    return _on_white(ImageOps.exif_transpose(image))


def _on_white(image: Image.Image) -> Image.Image:
    """JPEG knows no transparency: what is see-through becomes white."""
    if image.mode in ("RGB", "L"):
        return image.convert("RGB")
    layer = image.convert("RGBA")
    paper = Image.new("RGB", layer.size, "white")
    paper.paste(layer, mask=layer.getchannel("A"))
    return paper


def _fitted(image: Image.Image, px: int) -> Image.Image:
    fitted = image.copy()
    fitted.thumbnail((px, px))
    return fitted


def _jpeg(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.info.clear()  # else Pillow carries a colour profile and comments over
    image.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
