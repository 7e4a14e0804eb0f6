"""After the erasure of a client no byte of them is left: database, files, mails, exports, log, broker."""

import shutil
from email import message_from_bytes, policy
from pathlib import Path

import pytest

from tests.forgettable import MARKS
from tests.mailbox import mails_in
from tests.needs import needs
from tests.process.fleet import fleet
from tests.shop_fixtures import ROUTES

pytestmark = [needs("redis"), needs("weasyprint"), pytest.mark.takes(48)]


def left_in(data: Path) -> dict[str, set[str]]:
    """Return every file with the marks found in its bytes, or in its mails once decoded."""
    found: dict[str, set[str]] = {}
    for path in data.rglob("*"):
        if not path.is_file():
            continue
        content = path.read_bytes()
        if path.parent.name == "mail":
            content += as_read(content)
        marks = {mark for mark in MARKS if mark.casefold().encode() in content.lower()}
        if marks:
            found[path.relative_to(data).as_posix()] = marks
    return found


def as_read(mail: bytes) -> bytes:
    read = message_from_bytes(mail, policy=policy.default)
    parts = [part.get_content() for part in read.walk() if part.get_content_maintype() == "text"]
    return "\n".join([*map(str, read.values()), *parts]).encode()


def test_nothing_of_a_forgotten_client_is_left_on_the_machine(tmp_path: Path):
    data = tmp_path / "data"
    (data / "routes").mkdir(parents=True)
    shutil.copy(ROUTES / "short.toml", data / "routes")
    env = {"SHOP_OWNER_EMAIL": "ada@lindenau.example", "SHOP_OWNER_PASSWORD": "spokeshave and rasp"}
    with fleet(data, **env) as shop:
        shop.python("-m", "tests.process.forgetting", "tell")
        before = left_in(data)
        places = {path.split("/")[0] for path in before}
        assert places >= {"shop.sqlite3", "mail", "exports"}, before
        assert "log" not in places and "broker" not in places, before
        held = {folder: count(data / folder) for folder in ("files", "thumbnails")}
        assert held["files"] > 8 and held["thumbnails"] >= 1
        shop.python("-m", "tests.process.forgetting", "forget")
    assert left_in(data) == {}
    assert [mail["to"] for mail in mails_in(data / "mail")] == ["orla@fenwick.example"]
    assert {folder: count(data / folder) for folder in held} == {"files": 0, "thumbnails": 0}
    (export,) = (data / "exports").iterdir()
    assert count(export / "files") == 0


def count(folder: Path) -> int:
    return len(list(folder.iterdir()))
