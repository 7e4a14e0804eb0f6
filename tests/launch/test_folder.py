"""The data folder: private, writable, and one clear line where it is not."""

import hashlib
import os
from pathlib import Path

import pytest

from shop.launch import folder
from tests.launch.disk import disk
from tests.launch.running import Running, running
from tests.needs import needs
from tests.process.client import manage

PASSWORD = "spokeshave and rasp"
WRITES = """
from django.core.mail import send_mail
from django.core.management import call_command
from jobs.core import blobs
send_mail("Clamps off", "now", None, ["ines@shop.example"])
blobs.store(b"a paper")
call_command("export", "{}")
"""


def open_to_others(top: Path) -> list[str]:
    """Return the entries that another account of the machine could open, with their mode."""
    found = [top, *(path for path in top.rglob("*") if not path.is_symlink())]
    return [f"{path.relative_to(top)} {path.stat().st_mode & 0o777:o}" for path in found
            if path.stat().st_mode & 0o077]  # fmt: skip


OLD = "written by an older version"
OLD_FILE = hashlib.sha256(OLD.encode()).hexdigest()


def test_no_other_account_can_read_what_the_service_and_its_verbs_write(tmp_path: Path) -> None:
    data, exported = tmp_path / "data", tmp_path / "exported"
    umask = os.umask(0o022)  # as in most shells
    try:
        for name in ("mail", "files", "exports/2026-01-01-120000/files"):
            (data / name).mkdir(parents=True)
        for name in ("mail/one.log", "files/" + OLD_FILE, "exports/2026-01-01-120000/private.jsonl"):
            (data / name).write_text(OLD)
        assert len(open_to_others(data)) == 9
        with running(data, "--empty", SHOP_OWNER_PASSWORD=PASSWORD) as service:
            assert service.said.count("Closed 9 files and folders of ") == 1
            done = manage(data, "shell", "-c", WRITES.format(exported))
            assert done.returncode == 0, done.stderr
            made = {path.name for path in data.rglob("*")}
            assert {"shop.sqlite3", "shop.log", "lock", "broker.sock", "secret_key"} <= made
            assert open_to_others(data) == open_to_others(exported) == []
    finally:
        os.umask(umask)


def test_a_folder_shared_with_others_keeps_its_own_mode(tmp_path: Path) -> None:
    """Such as the common temporary folder: only the service's own entries in it are closed."""
    (tmp_path / "mail").mkdir()
    theirs = tmp_path / "somebody's"
    theirs.touch()
    for path, mode in ((tmp_path, 0o1777), (tmp_path / "mail", 0o755), (theirs, 0o644)):
        path.chmod(mode)
    assert folder.close(tmp_path) == 1
    modes = [path.stat().st_mode & 0o7777 for path in (tmp_path, tmp_path / "mail", theirs)]
    assert modes == [0o1777, 0o700, 0o644]


@needs("mount")
@pytest.mark.parametrize("inside", ["", "deeper/data"])
def test_a_read_only_disk_stops_the_start_with_one_line(tmp_path: Path, inside: str) -> None:
    with disk(tmp_path / "disk", "ro") as small:
        service = Running(small / inside)
        service.wait_for("SHOP_DATA_DIR: cannot write to ")
        assert service.launcher.wait(10) == 2
        assert "read-only" in service.said and len(service.lines) == 1


def test_a_shop_without_its_database_is_not_begun_anew(tmp_path: Path) -> None:
    (tmp_path / "files").mkdir(mode=0o700)
    (tmp_path / "files" / ("a" * 64)).touch(mode=0o600)
    service = Running(tmp_path)
    line = service.wait_for("Not started: ")
    assert "is missing or empty" in line and "1 in files/" in line and "--empty" in line
    assert service.launcher.wait(20) == 1 and len(service.lines) == 1
    assert not (tmp_path / "shop.sqlite3").exists()


def test_a_file_that_is_no_database_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "shop.sqlite3").touch(mode=0o600)
    (tmp_path / "shop.sqlite3").write_bytes(os.urandom(20_000))
    service = Running(tmp_path)
    assert "backup" in service.wait_for("is damaged (file is not a database)")
    assert service.launcher.wait(20) == 1 and len(service.lines) == 1
