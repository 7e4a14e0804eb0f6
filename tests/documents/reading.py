"""Read a PDF back: its text, pages, fonts and pictures."""

import io
import re
import subprocess
from pathlib import Path

from PIL import Image
from pypdf import PdfReader


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def pages(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in reader(pdf).pages]


def words(pdf: bytes) -> str:
    """Return all text with single spaces, whatever its line breaks."""
    return re.sub(r"\s+", " ", " ".join(pages(pdf)))


def smallest_text(pdf: bytes) -> float:
    """Return the size of the smallest text on any page [pt]."""
    found: list[float] = []

    def told(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            found.append(size * abs(tm[3]) * abs(cm[3]))

    for page in reader(pdf).pages:
        page.extract_text(visitor_text=told)
    return min(found)


def fonts(pdf: bytes) -> dict[str, bool]:
    """Return the fonts used, by name, and whether each is embedded."""
    found = {}
    for page in reader(pdf).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            for real in font.get_object().get("/DescendantFonts", [font]):
                told = real.get_object()
                found[str(told["/BaseFont"])] = "/FontFile2" in told["/FontDescriptor"]
    return found


def pictures(pdf: bytes, folder: Path, *, dpi: int = 60) -> list[Image.Image]:
    """Return each page as a greyscale picture."""
    (folder / "paper.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", "paper.pdf", "page"], cwd=folder, check=True)
    return [Image.open(path).convert("L") for path in sorted(folder.glob("page*.png"))]
