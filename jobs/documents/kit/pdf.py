"""HTML to PDF bytes: the same every time; nothing is read but our fonts and the pictures given."""

import functools
import threading
from pathlib import Path
from typing import Any

from jobs.documents.kit import faces
from jobs.documents.kit.identify import ACCESSIBLE, FILE_NAME, INVOICE_DATA, identified
from jobs.documents.kit.pdf_data import PICTURE, CannotRender, Data, Pictures

LOOK = Path(__file__).parents[1] / "paper.css"
SCHEME = "shop-font:"
VARIANT = "pdf/a-3a"
"""Archival and tagged, so that it can be read aloud and kept for decades; ``identify`` adds PDF/UA-1."""
SIZES = {
    "letter": ("8.5in 11in", "8.5in 5.5in", "5.5in 8.5in"),
    "A4": ("210mm 297mm", "210mm 148mm", "148mm 210mm"),
}
"""The whole sheet, the half of it lying, and the half of it standing: A4 and A5 of ISO 216."""
PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0"
_one_at_a_time = threading.Lock()  # Pango's font maps are not safe to share between threads


def to_pdf(html: str, *, size: str, data: Data | None = None, pictures: Pictures | None = None) -> bytes:
    """Print HTML on letter or A4; embed the data of an invoice where given.

    It may show the pictures given, and no other file.

    Raises
    ------
    CannotRender
        Where the system libraries are missing; it names the packages.
    """
    with _one_at_a_time:
        weasyprint, font_config, look, fetcher = _printer()
        whole, half, card = SIZES[size]
        sheets = f"@page {{ size: {whole} }} @page half {{ size: {half} }} @page card {{ size: {card} }}"
        page = weasyprint.CSS(string=sheets, url_fetcher=fetcher)
        fetcher.pictures = pictures or {}
        document = weasyprint.HTML(string=html, base_url="", url_fetcher=fetcher, encoding="utf-8")
        inside = data and weasyprint.Attachment(
            string=data.xml, name=FILE_NAME, description="The invoice as data, EN 16931",
            relationship="Alternative", created=data.at, modified=data.at,
        )  # fmt: skip
        pdf: bytes = document.write_pdf(
            stylesheets=[look, page], font_config=font_config, pdf_variant=VARIANT,
            attachments=[inside] if inside else None,
        )  # fmt: skip
    return identified(pdf, [ACCESSIBLE, *([INVOICE_DATA] if data else [])])


@functools.cache
def _printer() -> tuple[Any, Any, Any, Any]:
    """Return WeasyPrint with the project's fonts and style, set up once for each process."""
    try:
        import weasyprint
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import URLFetcher, URLFetcherResponse
    except OSError as missing:
        raise CannotRender(
            f"PDF papers need system libraries that are missing here ({missing}). "
            f"On Debian or Ubuntu: apt-get install {PACKAGES}; elsewhere install Pango 1.44 or newer."
        ) from missing

    class OwnFiles(URLFetcher):  # type: ignore[misc]
        """Gives the project's fonts and the paper's pictures; refuses every other address."""

        pictures: Pictures = {}

        def fetch(self, url: str, headers: object = None) -> Any:
            picture = self.pictures.get(url.removeprefix(PICTURE)) if url.startswith(PICTURE) else None
            if picture is not None:
                return URLFetcherResponse(url, picture)
            file = url.removeprefix(SCHEME)
            if not url.startswith(SCHEME) or file not in {name for _, _, name in faces.FACES}:
                raise ValueError("papers read nothing but the shop's own fonts and logo")
            return URLFetcherResponse(url, (faces.FOLDER / file).read_bytes())

    fetcher, font_config = OwnFiles(), FontConfiguration()
    face_rules = "".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url("{SCHEME}{file}") }}\n'
        for family, weight, file in faces.FACES
    )
    face_rules += "".join(
        f'@font-face {{ font-family: "Drawn"; font-weight: {weight};'
        f' font-feature-settings: "lnum" 1, "tnum" 1; src: url("{SCHEME}{file}") }}\n'
        for family, weight, file in faces.FACES
        if family == "Sans latin"
    )
    look = weasyprint.CSS(string=face_rules + LOOK.read_text(), font_config=font_config, url_fetcher=fetcher)
    return weasyprint, font_config, look, fetcher
