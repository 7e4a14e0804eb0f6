"""Words that hide what is meant: none in code, on screens, in docs."""

import re
from collections.abc import Iterator
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent
BANNED = re.compile(
    r"\b(anew|below nothing|reckon\w*|is told|stands in|of its own|puts? right)\b", re.IGNORECASE
)
FOLDERS = ("calcs", "jobs", "shop", "tests", "fixtures")
KINDS = {".py", ".html", ".txt", ".js", ".css", ".md", ".toml"}
NAMES = {"tests/test_words.py"}
"""It names the words."""


def texts() -> Iterator[Path]:
    yield from BASE.glob("*.md")
    for folder in FOLDERS:
        yield from (path for path in sorted((BASE / folder).rglob("*")) if path.suffix in KINDS)


def test_a_reader_meets_plain_words():
    read = [path for path in texts() if str(path.relative_to(BASE)) not in NAMES]
    assert len(read) > 1000
    found = [
        f"{path.relative_to(BASE)}:{number}: {line.strip()[:100]}"
        for path in read
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if BANNED.search(line)
    ]
    assert found == []
