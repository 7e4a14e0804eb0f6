"""A code to scan, as a drawing with words for who cannot see it."""

from io import BytesIO

import segno
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe


def code(address: str, *, says: str) -> SafeString:
    """The address as a QR code in black on white, medium correction, with the quiet zone the code needs."""
    drawn = BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawn, kind="svg", xmldecl=False, omitsize=True, border=4, nl=False, svgclass="", lineclass=""
    )
    return described(drawn.getvalue().decode(), says)


def described(svg: str, says: str) -> SafeString:
    """A drawing with its title first: the words that are read aloud instead of it."""
    start = svg.index(">") + 1
    title = f"<title>{escape(says)}</title>"
    return mark_safe(svg[:start] + title + svg[start:])
