"""A QR code as a drawing, with a title for a screen reader."""

from io import BytesIO

import segno
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe


def code(address: str, *, says: str) -> SafeString:
    """Return the address as a QR code, black on white, medium correction, with its quiet zone."""
    return drawn_code(segno.make(address, error="m", micro=False), says=says)


def drawn_code(code: segno.QRCode, *, says: str) -> SafeString:
    """Return a code as a drawing, black on white, with its quiet zone."""
    drawn = BytesIO()
    code.save(drawn, kind="svg", xmldecl=False, omitsize=True, border=4, nl=False, svgclass="", lineclass="")
    return described(drawn.getvalue().decode(), says)


def described(svg: str, says: str) -> SafeString:
    """Return a drawing with a title first: a screen reader reads the title instead of the drawing."""
    start = svg.index(">") + 1
    title = f"<title>{escape(says)}</title>"
    return mark_safe(svg[:start] + title + svg[start:])
