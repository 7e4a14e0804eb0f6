"""Printing itself: sizes, pages, fonts, the same bytes, and no file read but the project's own."""

import subprocess
import sys
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from weasyprint.urls import URLFetcher

from jobs.documents.checklist import checklist_html
from jobs.documents.invoice import invoice_html
from jobs.documents.kit import pdf
from jobs.documents.kit.faces import _INVISIBLE, CHARACTERS, FACES, FOLDER, bounds_of_fonts, drawable
from jobs.documents.kit.pdf import CannotRender, to_pdf
from tests.documents.reading import fonts, pages, pictures, reader, words
from tests.documents.samples import LETTERHEAD, a_checklist, an_invoice
from tests.needs import needs

pytestmark = [needs("weasyprint"), pytest.mark.takes(17)]

# ISO 216:2007: A4 is 210 x 297 mm; ANSI/ASME Y14.1: letter is 8.5 x 11 in. PDF points are 1/72 in.
POINTS = {"A4": (595.3, 841.9), "letter": (612, 792)}
SIZES = pytest.mark.parametrize("size", ["letter", "A4"])
LONG = [{"description": f"Row {n} of the price"} for n in range(40)]


@SIZES
def test_the_page_has_the_size_of_the_shop(size: str):
    box = reader(to_pdf(invoice_html(an_invoice()), size=size)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(POINTS[size], abs=0.1)


@SIZES
def test_every_page_says_which_of_how_many_and_repeats_the_heads(size: str):
    read = pages(to_pdf(invoice_html(an_invoice(*LONG)), size=size))
    assert len(read) > 1
    for n, page in enumerate(read, 1):
        assert f"{n} of {len(read)}" in page
        assert "Invoice I2026-0001, commission 2026-014" in page
        assert "Amount, USD" in page


# 18 to 20 lines fill a letter or A4 page; the ends of the next page lie at 42 to 50.
@SIZES
@pytest.mark.parametrize("count", [2, 18, 19, 24, 43, 46])
def test_no_row_and_no_sum_stands_alone_on_a_page(size: str, count: int):
    lines = [{"description": f"Row-{n}"} for n in range(count)]
    read = pages(to_pdf(invoice_html(an_invoice(*lines)), size=size))
    rows = [page.count("Row-") for page in read]
    assert sum(rows) == count
    assert all(on_page >= 2 for on_page in rows if on_page)
    last = next(n for n, page in enumerate(read) if "To pay " in page and "Total with" in page)
    assert rows[last] >= 2
    assert "Before " in read[last] and "Total" in read[last]


def test_the_fonts_are_our_own_and_embedded():
    used = fonts(to_pdf(checklist_html(a_checklist()), size="letter"))
    assert used and all(used.values())
    assert all("Sans-latin" in name or "Serif-latin" in name or "Signs" in name for name in used)


def test_title_language_and_tags_are_in_the_file():
    file = reader(to_pdf(invoice_html(an_invoice()), size="A4"))
    assert file.metadata is not None
    assert file.metadata.title == "Invoice I2026-0001"
    assert file.metadata.author == LETTERHEAD["shop"]["name"]
    root = file.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert b'pdfaid:part="3"' in root["/Metadata"].get_data()


def test_the_same_frozen_data_gives_the_same_bytes():
    html = checklist_html(a_checklist())
    assert to_pdf(html, size="A4") == to_pdf(html, size="A4")


def test_another_process_gives_the_same_bytes(tmp_path: Path):
    script = (
        "import sys, django; django.setup()\n"
        "from jobs.documents.invoice import invoice_html\n"
        "from jobs.documents.kit.pdf import to_pdf\n"
        "from tests.documents.samples import an_invoice\n"
        "sys.stdout.buffer.write(to_pdf(invoice_html(an_invoice()), size='letter'))\n"
    )
    environment = {"DJANGO_SETTINGS_MODULE": "tests.settings", "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    other = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, check=True)
    assert other.stdout == to_pdf(invoice_html(an_invoice()), size="letter")


NASTY = (
    '<img src="http://attacker.example/a.png"><img src="file:///etc/passwd"><script>x</script>'
    '<link rel="stylesheet" href="http://attacker.example/s.css"><style>@import "file:///etc/hosts";</style>'
    '<object data="data:text/plain,x"></object>&amp;{{ shop }}{% now %}</table>'
)


def test_markup_in_a_text_is_printed_and_reads_nothing(monkeypatch: pytest.MonkeyPatch):
    asked: list[str] = []
    printer = pdf._printer()
    fetch = type(printer[3]).fetch
    monkeypatch.setattr(
        type(printer[3]), "fetch", lambda self, url, headers=None: (asked.append(url), fetch(self, url))[1]
    )
    monkeypatch.setattr(URLFetcher, "open", lambda *_, **__: pytest.fail("something was opened"))
    frozen = an_invoice({"description": NASTY})
    frozen["shop"] = {name: NASTY for name in frozen["shop"]}
    frozen["client"] = {name: NASTY for name in frozen["client"]}
    frozen["commission"] = {**frozen["commission"], "title": NASTY}
    printed = "".join(words(to_pdf(invoice_html(frozen), size="A4")).split())
    assert printed.count("".join(NASTY.split())) >= 5
    assert asked == []


@pytest.mark.parametrize(
    "address",
    [
        "http://attacker.example/x",
        "file:///etc/passwd",
        "data:text/plain,x",
        "shop-font:../pdf.py",
        "ftp://a/b",
    ],
)
def test_the_fetcher_gives_nothing_but_our_fonts(address: str):
    fetcher = pdf._printer()[3]
    with pytest.raises(ValueError, match="nothing but the shop's own fonts"):
        fetcher.fetch(address)
    assert fetcher.fetch("shop-font:dejavu-sans-400.ttf").read()[:4] == b"\0\1\0\0"


def test_even_markup_of_a_template_reads_no_address(tmp_path: Path):
    secret = tmp_path / "secret.txt"
    secret.write_text("hidden words")
    html = f'<p>seen</p><object data="{secret.as_uri()}"></object><img src="{secret.as_uri()}">'
    assert words(to_pdf(html, size="A4")).startswith("seen")
    assert "hidden" not in words(to_pdf(html, size="A4"))


def test_missing_system_libraries_are_named(monkeypatch: pytest.MonkeyPatch):
    def missing() -> None:
        raise OSError("cannot load library 'libpango-1.0-0'")

    class Absent:
        def __getattr__(self, name: str) -> None:
            missing()

    pdf._printer.cache_clear()
    monkeypatch.setitem(sys.modules, "weasyprint.text.fonts", Absent())
    with pytest.raises(CannotRender, match="apt-get install libpango-1.0-0 libpangoft2-1.0-0"):
        to_pdf("<p>x</p>", size="A4")
    pdf._printer.cache_clear()


NAMES = (
    "🪵 Birch & Co 🙂", "שולחן עץ אגוז", "طاولة خشب", "北京市", "Łódź", "Ελλάδα", "Москва", "Việt Nam",
    "Ærø Møbelsnedkeri", "½ ≈ 1\u20442", "日本の机", "서울", "👨‍👩‍👧 Holz",
)  # fmt: skip


def test_names_of_many_scripts_are_printed(caplog: pytest.LogCaptureFixture):
    lines = [{"description": name} for name in NAMES]
    printed = words(to_pdf(invoice_html(an_invoice(*lines)), size="A4"))
    assert [name for name in NAMES if name not in printed] == []
    assert "notdef" not in caplog.text


def test_what_no_font_of_ours_has_is_printed_as_a_box(caplog: pytest.LogCaptureFixture):
    frozen = an_invoice({"description": "โต๊ะ and table"})
    assert "□□□□ and table" in words(to_pdf(invoice_html(frozen), size="A4"))
    assert "notdef" not in caplog.text


def test_control_characters_are_left_out():
    frozen = an_invoice({"description": "Top\x0bas\x07 drawn\x1b"})
    frozen["shop"] = {**frozen["shop"], "name": "Linde\x02nau\ufffe"}
    made = to_pdf(invoice_html(frozen), size="A4")
    assert "Topas drawn" in words(made)
    assert reader(made).metadata.author == "Lindenau"


@needs("pdftoppm")
@SIZES
@pytest.mark.parametrize(
    "html",
    [
        lambda: invoice_html(an_invoice()),
        lambda: invoice_html(an_invoice(*LONG)),
        lambda: invoice_html(an_invoice({"description": "W" * 400, "unit_price": "9999999.1234"})),
        lambda: checklist_html(a_checklist()),
        lambda: checklist_html(a_checklist(*[{"label": f"Top {n} " + "wide " * 30} for n in range(20)])),
    ],
    ids=["one line", "forty lines", "wide", "checklist", "twenty pieces"],
)
def test_every_page_has_ink_and_none_in_the_margins(html, size: str, tmp_path: Path):
    for page in pictures(to_pdf(html(), size=size), tmp_path):
        dark = page.point(lambda shade: 255 if shade < 200 else 0).getbbox()
        assert dark is not None, "a blank page"
        left, top, right, bottom = dark
        inch = 60
        assert left >= 0.7 * inch and right <= page.width - 0.7 * inch
        assert top >= 0.45 * inch and bottom <= page.height - 0.35 * inch


def test_the_fonts_named_are_the_files_there_are():
    there = {path.name for path in FOLDER.iterdir() if path.suffix in (".woff", ".woff2", ".ttf")}
    assert there == {file for _, _, file in FACES}


def test_the_list_of_characters_is_what_the_fonts_have():
    listed = [int(bound, 16) for bound in CHARACTERS.read_text("ascii").split()]
    assert listed == bounds_of_fonts()


def test_the_ends_of_a_run_of_characters_are_known_and_what_is_beside_it_is_not():
    known = {c for _, _, file in FACES for c in TTFont(FOLDER / file, lazy=True).getBestCmap()}
    bounds = [int(bound, 16) for bound in CHARACTERS.read_text("ascii").split()]
    for code in (code for bound in bounds for code in (bound - 1, bound) if code > 0xFF):
        expected = code in known or _INVISIBLE.match(chr(code))
        assert (drawable(chr(code)) == chr(code)) == bool(expected), hex(code)
