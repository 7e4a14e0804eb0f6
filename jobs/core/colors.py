"""Colors as hexadecimal figures, and how well one can be read on white."""

import re

HEX = re.compile("#[0-9a-f]{6}")
USUAL = "#5a3a1c"
"""The color of papers where the shop chose none, and of those issued before it could."""
LEAST_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3: at least 4.5 to 1 for text of usual size."""


def contrast_on_white(color: str) -> float:
    """Return the contrast ratio of a color such as ``#5a3a1c`` on white, 1 to 21; formulas of WCAG 2.1."""
    return 1.05 / (_luminance(color) + 0.05)


def _luminance(color: str) -> float:
    """Return the relative luminance, 0 for black to 1 for white."""
    red, green, blue = (_linear(int(color[n : n + 2], 16) / 255) for n in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4
