"""Pictures lose their metadata, and no file makes the service decode more than it can hold."""

import io
import struct
import zlib

import pytest
from PIL import Image, ImageFile

from jobs.core.errors import Invalid
from jobs.domain.notes.images import LONGEST_EDGE, MOST_BYTES, shrunk

SECRETS = (b"Aldersey", b"GPS", b"Exif", b"ICC_PROFILE", b"http://ns.adobe.com/xap")


def a_picture(form="JPEG", size=(400, 200), mode="RGB", **more):
    out = io.BytesIO()
    image = Image.new("RGB", size, "red")
    image.paste("blue", (0, 0, size[0] // 2, size[1]))
    image.convert(mode).save(out, form, **more)
    return out.getvalue()


def with_everything():
    """Return a picture with its place, its camera and its orientation (a quarter to the right)."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0112] = "Aldersey camera works", 6
    exif.get_ifd(0x8825)[2] = (52.0, 30.0, 1.0)
    xmp = b"http://ns.adobe.com/xap Aldersey"
    return a_picture(exif=exif, comment=b"Aldersey", icc_profile=b"Aldersey profile", xmp=xmp)


def png(width, height):
    """Return a PNG that announces any size and holds almost no data (ISO/IEC 15948, 11.2.2)."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


def test_only_pixels_are_left_and_they_stand_upright():
    raw = with_everything()
    assert all(secret in raw for secret in SECRETS if secret != b"GPS")
    small = shrunk(raw)
    assert not [secret for secret in SECRETS if secret in small]
    seen = Image.open(io.BytesIO(small))
    assert (seen.format, seen.size, len(seen.getexif())) == ("JPEG", (200, 400), 0)
    assert not set(seen.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    top, bottom = seen.getpixel((100, 40)), seen.getpixel((100, 360))
    assert top[2] > 200 > top[0] and bottom[0] > 200 > bottom[2]


@pytest.mark.parametrize("form, mode", [("PNG", "RGBA"), ("PNG", "P"), ("WEBP", "RGB"), ("JPEG", "CMYK")])
def test_other_forms_become_jpeg(form, mode):
    assert Image.open(io.BytesIO(shrunk(a_picture(form, mode=mode)))).format == "JPEG"


def test_a_large_picture_is_made_small():
    seen = Image.open(io.BytesIO(shrunk(a_picture(size=(4032, 3024), quality=30))))
    assert seen.size == (LONGEST_EDGE, LONGEST_EDGE * 3 // 4)


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"no picture", b"GIF89a" + bytes(40), a_picture()[:300], a_picture("GIF"), a_picture("TIFF"),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>", png(100, 100), bytes(MOST_BYTES + 1),
    ],
    ids=["empty", "text", "gif head", "cut off", "gif", "tiff", "svg", "png without its pixels", "too long"],
)  # fmt: skip
def test_what_is_no_picture_is_refused(raw):
    with pytest.raises(Invalid) as refused:
        shrunk(raw)
    assert refused.value.field == "picture" and refused.value.allowed


def test_a_picture_cut_off_is_refused_whatever_another_library_allowed(monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as the PDF library sets it
    with pytest.raises(Invalid):
        shrunk(png(100, 100))


@pytest.mark.parametrize("size", [(4096, 4096), (12_000, 12_000), (60_000, 60_000), (2**31 - 1, 1)])
def test_a_picture_that_would_fill_the_memory_is_not_decoded(size):
    with pytest.raises(Invalid, match="too many pixels"):
        shrunk(png(*size))
