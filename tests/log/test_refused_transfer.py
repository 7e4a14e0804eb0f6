"""What import and export refuse; nothing is left half written."""

import json
import os
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command

from jobs.core import blobs
from jobs.core.errors import Invalid, LogBroken
from jobs.domain.clients.commands import add_client
from jobs.domain.reminders.pending import skip_past_due
from jobs.log.transfer import export_to, import_from
from jobs.models import Event, LogHead, Person, PrivateText
from tests.launch.disk import disk
from tests.log.exported import LATER, sign
from tests.needs import needs
from tests.shop_fixtures import a_call, an_owner


def change(folder: Path, name: str, was: bytes, becomes: bytes) -> None:
    path = folder / name
    content = path.read_bytes()
    assert content.count(was) >= 1
    path.write_bytes(content.replace(was, becomes, 1))


def trailer_with(**changes):
    def write(folder: Path) -> None:
        trailer = json.loads((folder / "trailer.json").read_text())
        (folder / "trailer.json").write_text(json.dumps(trailer | changes))

    return write


def rename_a_file(folder: Path) -> None:
    next((folder / "files").iterdir()).rename(folder / "files" / ("0" * 64))
    sign(folder)


def drop_last_event(folder: Path) -> None:
    lines = (folder / "log.jsonl").read_bytes().splitlines(keepends=True)
    (folder / "log.jsonl").write_bytes(b"".join(lines[:-1]))
    sign(folder)


def signed(change_folder):
    def write(folder: Path) -> None:
        change_folder(folder)
        sign(folder)

    return write


CHANGED = [
    ("log.jsonl", b"client_added", b"client_addee"),
    ("private.jsonl", b"Fenwick", b"Fenwich"),
    ("people.jsonl", b"maker", b"owner"),
    ("effects.jsonl", b"render", b"rendor"),
]
REFUSED = {
    **{f"{n} changed": (lambda d, n=n, w=w, b=b: change(d, n, w, b), Invalid, n) for n, w, b in CHANGED},
    "no trailer": (lambda d: (d / "trailer.json").unlink(), Invalid, "not a whole export"),
    "broken trailer": (lambda d: (d / "trailer.json").write_text('{"form":1'), Invalid, "not a whole export"),
    "trailer of nothing": (lambda d: (d / "trailer.json").write_text("[]"), Invalid, "not a whole export"),
    "trailer without files": (trailer_with(files=None), Invalid, "not a whole export"),
    "other form": (trailer_with(form=9), Invalid, "unknown form"),
    "lost file": (lambda d: (d / "tokens.jsonl").unlink(), Invalid, "tokens.jsonl"),
    "lost file, signed": (signed(lambda d: (d / "tokens.jsonl").unlink()), Invalid, "tokens.jsonl"),
    "file too many": (lambda d: (d / "files" / "x").write_bytes(b"x"), Invalid, "files/x"),
    "stored file under another name, signed": (rename_a_file, Invalid, "files/0000"),
    "event changed, signed": (
        signed(lambda d: change(d, "log.jsonl", b'"actor":"person', b'"actor":"parson')),
        LogBroken,
        r"event 1 \(shop_set\) was altered",
    ),
    "last event dropped, signed": (drop_last_event, LogBroken, "does not end where the trailer says"),
    "other head": (trailer_with(head_hash="f" * 64), LogBroken, "does not end where the trailer says"),
    "text changed, signed": (
        signed(lambda d: change(d, "private.jsonl", b"Orla Fenwick", b"Olga Fenwick")),
        LogBroken,
        r"a text of event \d+ \(\w+\) was altered",
    ),
}


@pytest.mark.both_databases
@pytest.mark.django_db
class TestRefused:
    @pytest.mark.parametrize("name", REFUSED)
    def test_what_does_not_fit_is_refused_and_nothing_is_written(self, exported, name):
        break_it, error, says = REFUSED[name]
        break_it(exported)
        owner = an_owner("first")
        with pytest.raises(error, match=says):
            import_from(exported, now=LATER, settle=skip_past_due)
        assert [m.__name__ for m in apps.get_app_config("jobs").get_models() if m.objects.exists()] in (
            ["LogHead", "Person"],
            ["Person"],
        )
        assert Person.objects.get() == owner and (LogHead.objects.first() or LogHead()).seq == 0
        assert blobs.all_files() == []

    def test_a_log_that_is_not_empty_is_refused(self, exported):
        add_client(a_call("shop"), name="Mirek Dvorsky")
        with pytest.raises(Invalid, match="not empty"):
            import_from(exported, now=LATER, settle=skip_past_due)
        assert Event.objects.count() == PrivateText.objects.count() == 1

    def test_a_folder_that_is_not_there_is_refused(self, tmp_path):
        with pytest.raises(CommandError, match="not a whole export"):
            call_command("import", str(tmp_path / "nowhere"))

    def test_export_wants_a_new_folder(self, exported):
        with pytest.raises(CommandError, match="not empty"):
            call_command("export", str(exported))

    @needs("mount")
    def test_an_export_onto_a_full_disk_leaves_nothing(self, tmp_path, files_folder, db):
        add_client(a_call("shop"), name="Orla Fenwick")
        blobs.store(os.urandom(1_500_000))
        with disk(tmp_path / "stick", "size=1m") as stick:
            with pytest.raises(CommandError, match="nothing was exported: No space left"):
                call_command("export", str(stick / "exported"))
            assert list(stick.iterdir()) == []

    def test_a_broken_log_is_not_exported(self, tmp_path, files_folder):
        add_client(a_call("shop"), name="Orla Fenwick")
        LogHead.objects.update(seq=2)
        with pytest.raises(LogBroken):
            export_to(tmp_path / "exported")
        assert not (tmp_path / "exported").exists()
