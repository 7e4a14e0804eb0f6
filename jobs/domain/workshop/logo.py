"""The shop's logo: a PNG or an SVG, made harmless, stored as a file; commands that set and remove it."""

import io

from jobs.core import blobs
from jobs.core.disk_space import refuse_if_reserve
from jobs.core.errors import AlreadyDone, Invalid, NotFound
from jobs.domain.notes.images import refuse_if_huge
from jobs.domain.settings import profile
from jobs.domain.workshop.logo_drawing import cleaned
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import read, store_private_text

MOST_BYTES = 4 * 1024 * 1024
LONGEST_EDGE = 1600
PNG = b"\x89PNG\r\n\x1a\n"
ALONE = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
"""What a browser may do with a logo that is opened by itself: show it."""
ALLOWED = "a PNG picture or an SVG drawing"


def set_logo(call: CommandContext, *, logo: bytes | None) -> CommandResult:
    """Set the logo of the shop's papers. It is read and written again before the log is locked."""
    if earlier := replayed_result(call):
        return earlier
    if not logo:
        raise Invalid("a logo is needed", field="logo", value="", allowed=ALLOWED)
    return _set(call, logo=readied(logo))


@command
def _set(tx: CommandTransaction, *, logo: bytes) -> None:
    _open(tx)
    tx.append("logo_set", "shop", {"logo": store_private_text(blobs.store(logo))})


@command
def remove_logo(tx: CommandTransaction) -> None:
    """Take the logo off the papers to come; issued ones keep it."""
    _open(tx)
    if not logo_name():
        raise AlreadyDone("there is no logo", field="logo", value="", allowed="a shop with a logo")
    tx.append("logo_set", "shop", {"logo": None})


def _open(tx: CommandTransaction) -> None:
    tx.require_owner("the shop's settings")
    shop = profile()
    tx.check_version(shop.version if shop else 0, what="the shop's settings")


def logo_name() -> str:
    """Return the name of the file of the logo; empty where there is none."""
    shop = profile()
    return read(shop.logo_ref) if shop else ""


def the_logo() -> tuple[str, bytes, str]:
    """Return the logo's name, bytes and content type; refuse where there is none."""
    name = logo_name()
    if not name:
        raise NotFound("there is no logo", field="logo", value="")
    content = blobs.load(name, of="the logo")
    return name, content, "image/png" if content.startswith(PNG) else "image/svg+xml"


def readied(raw: bytes) -> bytes:
    """Return a logo as it is stored: a fresh PNG on white, or a drawing with nothing in it but shapes."""
    refuse_if_reserve("logo")
    if raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return cleaned(raw.lstrip(b"\xef\xbb\xbf \t\r\n"), field="logo")
    if len(raw) > MOST_BYTES:
        size, allowed = f"{len(raw)} bytes", f"up to {MOST_BYTES} bytes"
        raise Invalid("this picture is too large", field="logo", value=size, allowed=allowed)
    return _picture(raw)


def _picture(raw: bytes) -> bytes:
    """Return the visible picture alone, on white, as a PNG."""
    from PIL import Image, ImageFile

    ImageFile.LOAD_TRUNCATED_IMAGES = False  # the PDF library turns this on
    try:
        with Image.open(io.BytesIO(raw), formats=("PNG",)) as opened:
            refuse_if_huge(opened.size, "logo")
            seen = opened.convert("RGBA")
    except Invalid:
        raise
    except Exception as broken:  # a decoder fed with arbitrary bytes may fail in any way
        size = f"{len(raw)} bytes"
        raise Invalid("this logo cannot be read", field="logo", value=size, allowed=ALLOWED) from broken
    seen.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    fresh = Image.new("RGB", seen.size, "white")
    fresh.paste(seen, mask=seen)
    out = io.BytesIO()
    fresh.save(out, "PNG", optimize=True)
    return out.getvalue()
