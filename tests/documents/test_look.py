"""The look of papers: the shop's logo and color, on the page, in the file, and as they were at issue."""

import io
import re
import subprocess
from pathlib import Path

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from jobs.core.colors import contrast_on_white
from jobs.core.errors import AlreadyDone, Invalid
from jobs.documents.render import render
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.workshop import logo_drawing
from jobs.domain.workshop.commands import set_shop
from jobs.domain.workshop.logo import readied, remove_logo, set_logo
from jobs.models import Payment
from shop.settings import BASE_DIR
from tests.api.client import head
from tests.documents.reading import pages, reader
from tests.documents.shop import a_shop, issued_invoice, priced
from tests.needs import needs
from tests.shop_fixtures import the_paper

SVG = 'xmlns="http://www.w3.org/2000/svg"'
BLUE, GREEN = (28, 58, 170), (20, 110, 40)
DRAWN = f"""<?xml version="1.0" encoding="UTF-8"?><!-- by an editor -->
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<svg {SVG} xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:ed="http://editor.example/" viewBox="0 0 200 60"
  ed:window="9"><title>x</title><metadata><ed:owner>someone</ed:owner></metadata><ed:view grid="1"/>
<style><![CDATA[ .a, .b {{ fill: rgb(28,58,170); }} ]]></style><defs><linearGradient id="g"><stop
offset="0" style="stop-color:#146e28"/></linearGradient><clipPath id="c"><path id="p" d="M100,0h100v60h-100z"
/></clipPath></defs><rect class="a" width="100" height="60"/>
<g style="clip-path:url(#c)"><use xlink:href="#p" fill="url(#g)"/></g></svg>""".encode()


def a_png(colour: tuple[int, ...] = (*BLUE, 255), size: tuple[int, int] = (200, 60)) -> bytes:
    out, told = io.BytesIO(), PngImagePlugin.PngInfo()
    told.add_text("Comment", "taken at home")
    Image.new("RGBA", size, colour).save(out, "PNG", pnginfo=told)
    return out.getvalue()


def in_svg(inner: str, more: str = 'viewBox="0 0 9 9"') -> bytes:
    return f"<svg {SVG} {more}>{inner}<path d='M0 0h9'/></svg>".encode()


def use_in_use(deep: int) -> str:
    ten = ("".join(f'<use href="#g{n}"/>' for _ in range(10)) for n in range(deep))
    groups = (f'<g id="g{n}">{uses}</g>' for n, uses in enumerate(ten, 1))
    return f'<g id="g0"><rect/></g>{"".join(groups)}'


HOSTILE: dict[str, tuple[bytes, str]] = {
    "a script": (in_svg("<script>alert(1)</script>"), "<script>"),
    "a script of another case": (in_svg("<SCRIPT>alert(1)</SCRIPT>"), "<SCRIPT>"),
    "an event": (in_svg('<path onload="x()"/>'), "onload="),
    "an event of the root": (in_svg("", 'viewBox="0 0 9 9" onclick="x()"'), "onclick="),
    "foreign markup": (in_svg("<foreignObject><p/></foreignObject>"), "<foreignObject>"),
    "a picture from elsewhere": (in_svg('<image href="http://a.example/x.png"/>'), "<image>"),
    "a link": (in_svg('<a href="javascript:x()"><path/></a>'), "<a>"),
    "an animation": (in_svg('<path><animate attributeName="href"/></path>'), "<animate>"),
    "another file": (in_svg('<use href="http://a.example/x.svg#a"/>'), "href=http://a.example"),
    "a file of the machine": (in_svg('<use href="file:///etc/passwd#a"/>'), "href=file:///etc"),
    "an address in a color": (in_svg('<path fill="url(http://a.example/x)"/>'), "url(http"),
    "an address in a style": (in_svg('<path style="fill:url(//a.example)"/>'), "url("),
    "an address behind escapes": (in_svg(r'<path style="fill:u\72l(http://a.example)"/>'), "url("),
    "an address where nothing is drawn": (in_svg('<path style="background:url(//a.example)"/>'), "url("),
    "an import": (in_svg("<style>@import 'http://a.example/x.css';</style>"), "@import"),
    "a font": (in_svg("<style>@font-face{src:url(//a.example)}</style>"), "@font-face"),
    "letters": (in_svg("<text>Lindenau</text>"), "<text>"),
    "an entity": (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + in_svg("<title>&a;</title>"), "<!ENTITY>"),
    "a file as an entity": (
        b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + in_svg("&a;"), "<!ENTITY>",
    ),
    "itself": (in_svg('<g id="a"><use href="#a"/></g>'), "parts that hold each other"),
    "ten by ten by ten": (in_svg(use_in_use(5)), "shapes"),
    "ten to the thirty": (in_svg(use_in_use(30)), ""),
    "six thousand shapes": (in_svg("<path/>" * 6000), "shapes"),
    "too deep": (in_svg("<g>" * 60 + "</g>" * 60), "groups in each other"),
    "a part that is missing": (in_svg('<use href="#nowhere"/>'), "#nowhere"),
    "no size": (in_svg("", ""), ""),
    "no shape": (f'<svg {SVG} viewBox="0 0 9 9"/>'.encode(), "no shape"),
    "a page": (b"<html><p>x</p></html>", "<html>"),
    "half a drawing": (DRAWN[:-30], ""),
    "a large drawing": (in_svg(" " * logo_drawing.MOST_BYTES), "bytes"),
    "a photograph": (b"\xff\xd8\xff\xe0" + bytes(99), "bytes"),
    "a cut picture": (a_png()[:90], "bytes"),
    "a huge picture": (a_png(size=(5000, 5000)), "5000 x 5000 pixels"),
}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("what", HOSTILE)
def test_a_logo_that_does_more_than_to_be_seen_is_refused_by_name(what: str, settings):
    raw, named = HOSTILE[what]
    work = a_shop()
    before, files = head(), set(Path(settings.FILES_DIR).iterdir())
    with pytest.raises(Invalid) as refused:
        set_logo(work.call(), logo=raw)
    assert named in str(refused.value.value) and refused.value.allowed and refused.value.field == "logo"
    assert head() == before and set(Path(settings.FILES_DIR).iterdir()) == files


def test_what_an_editor_writes_comes_through_without_what_it_leaves_for_itself():
    kept = readied(DRAWN).decode()
    assert "28,58,170" in kept and "#146e28" in kept and 'viewBox="0 0 200 60"' in kept
    for left in ("editor", "someone", "DTD", "<!--", "title", "<style", "class"):
        assert left not in kept, left


def test_a_picture_is_written_again_without_what_it_said_and_on_white():
    kept = readied(a_png((0, 0, 0, 0)))
    assert b"taken at home" not in kept
    with Image.open(io.BytesIO(kept)) as image:
        assert (image.mode, image.getpixel((9, 9))) == ("RGB", (255, 255, 255))
    with Image.open(io.BytesIO(readied(a_png(size=(3200, 400))))) as image:
        assert image.size == (1600, 200)


def colours_at_the_top(pdf: bytes, folder: Path) -> set[tuple[int, ...]]:
    """Return the colors that stand in the upper sixth of the first page."""
    (folder / "a.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "50", "-png", "-f", "1", "-l", "1", "a.pdf", "a"], cwd=folder, check=True
    )
    with Image.open(next(folder.glob("a*.png"))) as page:
        top = page.convert("RGB").crop((0, 0, page.width, page.height // 6))
        return {colour for _count, colour in top.getcolors(1 << 20) or ()}


def near(wanted: tuple[int, ...], seen: set[tuple[int, ...]]) -> bool:
    return any(max(abs(a - b) for a, b in zip(wanted, each, strict=True)) <= 3 for each in seen)


def alternatives(pdf: bytes) -> list[str]:
    """Return the alternative text of each figure of the file."""
    found, rest = [], [reader(pdf).trailer["/Root"]["/StructTreeRoot"]]
    while rest:
        node = rest.pop().get_object()
        if isinstance(node, list):
            rest += node
        elif isinstance(node, dict):
            if node.get("/S") == "/Figure":
                found.append(str(node.get("/Alt", "")))
            rest += [node["/K"]] if "/K" in node else []
    return found


@needs("weasyprint")
@needs("pdftoppm")
@pytest.mark.django_db
def test_papers_have_logo_and_color_and_old_ones_keep_theirs(tmp_path: Path):
    work = a_shop(paper_color="#146e28")
    number = priced(work, work.accepted(), 1)
    bare = the_paper(issue_receipt(work.call(), payment=Payment.objects.get().id))
    first_print = render(bare)
    set_logo(work.call(), logo=DRAWN)
    drawn = issued_invoice(work, number)
    pdf = render(drawn)
    seen = colours_at_the_top(pdf, tmp_path)
    assert near(BLUE, seen) and near(GREEN, seen)
    assert alternatives(pdf) == ["Lindenau Table Works"]
    assert "Lindenau Table Works" in pages(pdf)[0]
    set_logo(work.call(), logo=a_png((200, 20, 20, 255)))
    set_shop(work.call(), settings={"paper_color": "#1c3a5a"})
    assert render(drawn) == pdf and render(bare) == first_print
    assert "image" not in str(reader(first_print).pages[0]["/Resources"]).lower()
    remove_logo(work.call())
    assert render(drawn) == pdf
    with pytest.raises(AlreadyDone):
        remove_logo(work.call())


@needs("weasyprint")
@pytest.mark.django_db
def test_the_address_stands_in_the_window_of_an_envelope():
    """Where a window shows the sheet [mm from its top edge], whichever way the sheet has slid.

    Letter in a No. 10 envelope: window 7/8 in from the left, 1/2 in from the bottom, 4 1/2 by 1 1/8 in;
    sheet folded in three, resting on the bottom: 52 to 80 mm. A4 in a DL envelope, DIN 5008 form B: 45 to
    90 mm down and 20 mm from the left. All from memory.
    """
    work = a_shop()
    piece = work.accepted()
    issued_invoice(work, priced(work, piece, 1))
    paper = the_paper(issue_statement(work.call(), client=piece.commission.client_id))
    for size, top, bottom in (("letter", 52, 80), ("A4", 45, 90)):
        paper.size = size
        places = where(render(paper), ("Orla Fenwick", "12 Harbour Steps"))
        assert places
        for left, down in places:
            assert left >= 21.5 and top + 2 <= down <= bottom, (size, left, down)


def where(pdf: bytes, texts: tuple[str, ...]) -> list[tuple[float, float]]:
    """Return how far from the left and from the top of the first page these texts begin [mm]."""
    page, found = reader(pdf).pages[0], []
    height = float(page.mediabox.height)

    def told(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if any(each in text for each in texts):
            across, up = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
            found.append((across / 72 * 25.4, (height - up) / 72 * 25.4))

    page.extract_text(visitor_text=told)
    return found


def test_every_class_of_the_look_is_on_a_paper():
    css = re.sub(r"/\*.*?\*/", "", (BASE_DIR / "jobs/documents/paper.css").read_text(), flags=re.S)
    named = set(re.findall(r"\.([a-z][\w-]*)", " ".join(re.findall(r"([^{}]+)\{", css))))
    layouts = [
        *(BASE_DIR / "jobs/templates/papers").rglob("*.html"),
        *(BASE_DIR / "jobs/documents").rglob("*.py"),
    ]
    said = " ".join(path.read_text() for path in layouts)
    told = re.findall(r'class="([^"]*)"|look="([^"]*)"|block look %\}([^{]*)\{', said)
    used = {word for found in told for word in re.findall(r"[a-z][\w-]*", " ".join(found))}
    assert named - used == set()


# #767676 is 4.54 and #777777 is 4.48 to 1 on white: W3C, Understanding success criterion 1.4.3 (from memory).
@pytest.mark.parametrize(
    "color, ratio", [("#767676", 4.54), ("#777777", 4.48), ("#000000", 21), ("#ffffff", 1)]
)
def test_contrast_is_that_of_published_pairs(color: str, ratio: float):
    assert contrast_on_white(color) == pytest.approx(ratio, abs=0.005)


@given(st.integers(0, 0xFFFFFF))
def test_contrast_is_that_of_a_library_of_colors(value: int):
    """ColorAide 8.13 names the same formula, WCAG 2.1; its sRGB begins its curve at 0.04045."""
    color = f"#{value:06x}"
    told = Color(color).contrast("white", method="wcag21")
    assert contrast_on_white(color) == pytest.approx(told, rel=1e-4)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "color, says, allowed",
    [
        ("#777777", "its contrast is 4.47 to 1", "at least 4.5 to 1"),
        ("#ffcc00", "its contrast is 1.51 to 1", "at least 4.5 to 1"),
        ("brown", "not a color", "such as #5a3a1c"),
        ("#fff", "not a color", "such as #5a3a1c"),
        ("#5a3a1c;}", "not a color", "such as #5a3a1c"),
    ],
)
def test_a_color_that_cannot_be_read_on_white_is_refused_with_its_contrast(color, says, allowed):
    with pytest.raises(Invalid) as refused:
        set_shop(a_shop().call(), settings={"paper_color": color})
    assert refused.value.field == "paper_color" and says in str(refused.value)
    assert allowed in str(refused.value.allowed)
