"""The fonts of the papers: the files in the project, and which characters they can draw.

After a change of fonts, write the list of characters again: ``python3 -m jobs.documents.kit.faces``.
"""

import functools
import re
from array import array
from bisect import bisect_right
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "fonts"
PARTS = ("latin", "latin-ext", "greek", "cyrillic", "vietnamese")
FACES: tuple[tuple[str, int, str], ...] = (
    *((f"Sans {part}", 400, f"alegreya-sans-{part}-400.woff2") for part in PARTS),
    *((f"Sans {part}", 700, f"alegreya-sans-{part}-700.woff2") for part in PARTS),
    *((f"Serif {part}", 700, f"alegreya-{part}-700.woff2") for part in PARTS[:4]),
    ("Signs", 400, "dejavu-sans-400.ttf"),
    ("Signs", 700, "dejavu-sans-700.ttf"),
    ("Han", 400, "droid-sans-fallback-400.ttf"),
    ("Emoji", 400, "noto-emoji-400.woff"),
)
"""Family, weight, file. WeasyPrint embeds one file for each family and weight, so each file has its own."""
CHARACTERS = FOLDER / "characters.txt"
"""First code of each run of characters and the first after it, hexadecimal; reading the fonts takes 14 MB."""
MISSING = "\u25a1"
_PLAIN = re.compile("[\n\t -~\xa0-\xff]*")
_INVISIBLE = re.compile(
    "[\xad\u034f\u061c\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufe00-\ufe0f\ufeff\U000e0000-\U000e0fff]"
)


def drawable(text: str) -> str:
    """Return the text with a box for each character that none of these fonts has.

    A font of the machine might have it, but then the paper would differ from machine to machine. A character
    that no font has would also spoil the text of the file for those who search or hear it.
    """
    if _PLAIN.fullmatch(text):
        return text
    return "".join(c if c in "\n\t" or _is_known(c) or _INVISIBLE.match(c) else MISSING for c in text)


def _is_known(character: str) -> bool:
    return bisect_right(_bounds(), ord(character)) % 2 == 1


@functools.cache
def _bounds() -> "array[int]":
    return array("L", (int(bound, 16) for bound in CHARACTERS.read_text("ascii").split()))


def bounds_of_fonts() -> list[int]:
    """Return, from the fonts, the first code of each run of characters and the first after it."""
    from fontTools.ttLib import TTFont

    known = {c for _, _, file in FACES for c in TTFont(FOLDER / file, lazy=True).getBestCmap()}
    return sorted(c for c in known | {c + 1 for c in known} if (c in known) != (c - 1 in known))


if __name__ == "__main__":
    CHARACTERS.write_text("\n".join(f"{bound:X}" for bound in bounds_of_fonts()) + "\n", "ascii")
