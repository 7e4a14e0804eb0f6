"""An export of a long story, and its signature."""

import hashlib
import json
from datetime import timedelta
from pathlib import Path

from jobs.core.canonical_json import dumps
from tests.shop_fixtures import NOON

LATER = NOON + timedelta(days=400)


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def sign(folder: Path) -> None:
    """Make the trailer fit the files, as somebody who knows the format could."""
    trailer = json.loads((folder / "trailer.json").read_text())
    sums = {n: hashlib.sha256(c).hexdigest() for n, c in contents(folder).items() if n != "trailer.json"}
    (folder / "trailer.json").write_text(dumps(trailer | {"files": sums}))
