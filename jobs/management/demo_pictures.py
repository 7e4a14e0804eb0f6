"""Pictures of the demo shop, drawn here: plain scenes in the colors of wood and slate."""

from collections.abc import Callable
from io import BytesIO

from PIL import Image, ImageDraw

SIZE = (1200, 900)
WALL, SLATE, PENCIL, GLUE = "#E3E8E6", "#263234", "#151B1D", "#DB8E17"
WALNUT, OAK, MAPLE = "#6B4428", "#C4A273", "#E2CB9F"


def picture(scene: str) -> bytes:
    """Return a scene as a JPEG."""
    image = Image.new("RGB", SIZE, WALL)
    SCENES[scene](ImageDraw.Draw(image))
    out = BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def _board(draw: ImageDraw.ImageDraw, box: tuple[int, int, int, int], wood: str) -> None:
    """Draw a board with a few straight lines of grain."""
    left, top, right, bottom = box
    draw.rectangle(box, fill=wood)
    for n in range(1, 7):
        y = top + (bottom - top) * n // 7
        draw.line([(left, y), (right, y + (n % 3 - 1) * 5)], fill=_darker(wood), width=3)


def _darker(wood: str) -> str:
    red, green, blue = (int(wood[n : n + 2], 16) for n in (1, 3, 5))
    return f"#{red * 8 // 10:02x}{green * 8 // 10:02x}{blue * 8 // 10:02x}"


def _kitchen(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((0, 620, 1200, 900), fill="#BFC9C6")
    draw.rectangle((120, 120, 460, 420), fill="#F8FAF9", outline=PENCIL, width=6)
    draw.line([(290, 120), (290, 420)], fill=PENCIL, width=4)
    draw.rectangle((560, 260, 1140, 640), fill="#D9E0DD", outline=PENCIL, width=6)
    for x in (705, 850, 995):
        draw.line([(x, 260), (x, 640)], fill=PENCIL, width=3)
    draw.rectangle((240, 600, 820, 640), fill=WALNUT)
    draw.rectangle((280, 640, 780, 820), fill="#F8FAF9", outline=PENCIL, width=5)
    draw.line([(240, 560), (820, 560)], fill=PENCIL, width=3)
    for x in (240, 820):
        draw.line([(x, 545), (x, 575)], fill=PENCIL, width=3)


def _boards(draw: ImageDraw.ImageDraw) -> None:
    draw.rectangle((0, 0, 1200, 900), fill=SLATE)
    for n in range(6):
        _board(draw, (80, 90 + n * 122, 1120 - n % 3 * 25, 195 + n * 122), WALNUT)
    draw.polygon([(600, 110), (860, 800), (340, 800)], outline="#F7F8F5", width=7)


def _creep(draw: ImageDraw.ImageDraw) -> None:
    for n, shift in enumerate((0, 0, 22, 0)):
        _board(draw, (80, 160 + n * 150, 980 + shift, 304 + n * 150), MAPLE)
        draw.line([(80, 307 + n * 150), (980, 307 + n * 150)], fill=GLUE, width=5)
    draw.ellipse((930, 420, 1080, 640), outline="#B0271A", width=8)


def _swirls(draw: ImageDraw.ImageDraw) -> None:
    _board(draw, (60, 60, 1140, 840), OAK)
    for n in range(5):
        x, y = 200 + n * 170, 260 + n % 2 * 260
        for r in (50, 70, 90):
            draw.arc((x - r, y - r, x + r, y + r), 200, 520, fill=_darker(OAK), width=4)


SCENES: dict[str, Callable[[ImageDraw.ImageDraw], None]] = {
    "kitchen": _kitchen, "boards": _boards, "creep": _creep, "swirls": _swirls,
}  # fmt: skip
