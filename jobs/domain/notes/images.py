"""Pictures from a camera: shrunk, and stripped of everything but the visible image."""

import io
from pathlib import Path

from django.conf import settings
from PIL import Image, ImageFile, ImageOps

from jobs.core import blobs
from jobs.core.disk_space import refuse_if_reserve
from jobs.core.errors import Invalid

MOST_BYTES = 8 * 1024 * 1024
MOST_DECODED = 12 * 1024 * 1024
"""Pixels: a phone's 4032 by 3024 fits. A larger JPEG is decoded at a half, a quarter or an eighth."""
MOST_ANNOUNCED = 4 * MOST_DECODED
LONGEST_EDGE = 1600
THUMBNAIL_EDGE = 360
MAILED_EDGE = 1000
QUALITY = 82
FORMATS = ("JPEG", "PNG", "WEBP")
ALLOWED = "a JPEG, PNG or WebP picture"


def shrunk(raw: bytes, *, field: str = "picture") -> bytes:
    """Return the picture as a small upright JPEG without metadata (place, camera, comments, profiles)."""
    if len(raw) > MOST_BYTES:
        size, allowed = f"{len(raw)} bytes", f"up to {MOST_BYTES} bytes"
        raise Invalid("this picture is too large", field=field, value=size, allowed=allowed)
    refuse_if_reserve(field)
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # the PDF library turns this on
    try:
        with Image.open(io.BytesIO(raw), formats=FORMATS) as opened:
            refuse_if_huge(opened.size, field, most=MOST_ANNOUNCED)
            opened.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
            refuse_if_huge(opened.size, field)
            return _written(_plain(ImageOps.exif_transpose(opened)))
    except Invalid:
        raise
    except Image.DecompressionBombError as huge:
        raise _too_many_pixels(str(huge), MOST_DECODED, field) from huge
    except Exception as broken:  # a decoder fed with arbitrary bytes may fail in any way
        raise Invalid(
            "this picture cannot be read", field=field, value=f"{len(raw)} bytes", allowed=ALLOWED
        ) from broken


def refuse_if_huge(size: tuple[int, int], field: str, *, most: int = MOST_DECODED) -> None:
    """Refuse a picture with more pixels than one process should hold."""
    if size[0] * size[1] > most:
        raise _too_many_pixels(f"{size[0]} x {size[1]} pixels", most, field)


def _too_many_pixels(value: str, most: int, field: str) -> Invalid:
    return Invalid(
        "this picture has too many pixels", field=field, value=value, allowed=f"up to {most} pixels"
    )


def _plain(image: Image.Image) -> Image.Image:
    """Return the pixels alone, on white where the image was transparent."""
    image.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    seen = image.convert("RGBA")
    fresh = Image.new("RGB", seen.size, "white")
    fresh.paste(seen, mask=seen)
    return fresh


def _written(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def mailed(name: str) -> bytes:
    """Return a stored picture in the size for a mail."""
    with Image.open(io.BytesIO(blobs.load(name)), formats=FORMATS) as opened:
        opened.thumbnail((MAILED_EDGE, MAILED_EDGE))
        return _written(opened.convert("RGB"))


def thumbnail_path(name: str) -> Path:
    return Path(settings.DATA_DIR) / "thumbnails" / name


def thumbnail(name: str) -> bytes:
    """Return the thumbnail of a stored picture, made where its file is missing."""
    path = thumbnail_path(name)
    folder = path.parent
    if not path.is_file():
        with Image.open(io.BytesIO(blobs.load(name)), formats=FORMATS) as opened:
            opened.thumbnail((THUMBNAIL_EDGE, THUMBNAIL_EDGE))
            small = _written(opened.convert("RGB"))
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        blobs.write_whole(path, small)
    return path.read_bytes()
