"""Export and import: the way from one database to another, and what import refuses."""

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import transaction

from jobs.core import blobs
from jobs.core.canonical_json import dumps
from jobs.core.errors import Invalid, LogBroken
from jobs.domain.clients.commands import add_client
from jobs.domain.reminders.pending import skip_past_due
from jobs.log import private_texts
from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from jobs.log.scratch_database import state_models
from jobs.log.transfer import BESIDE, export_to, import_from
from jobs.models import (
    Client,
    Commission,
    Delivery,
    Event,
    LogHead,
    Paper,
    Person,
    Picture,
    PrivateText,
    Reading,
)
from jobs.models.bases import Kept
from shop.env import BASE_DIR
from tests.chance import dice
from tests.launch.disk import disk
from tests.needs import needs
from tests.shop_fixtures import NOON, a_call, an_owner
from tests.stories import PERSONAL, a_long_story

LATER = NOON + timedelta(days=400)
PASS_ON = """
import sys, django
django.setup()
from django.core.management import call_command
read, written = sys.argv[1:]
call_command("migrate", verbosity=0)
if read:
    call_command("import", read)
else:
    from tests.stories import a_long_story
    a_long_story()
call_command("verify_log")
call_command("rebuild", check=True)
call_command("export", written)
"""


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@needs("postgres")
def test_sqlite_to_postgresql_and_back_gives_the_same_files(tmp_path, postgres_url):
    sqlite, postgres, again = ({"SHOP_DATA_DIR": str(tmp_path / n)} for n in ("one", "two", "three"))
    postgres["SHOP_DATABASE_URL"] = postgres_url
    folders = [tmp_path / "from-sqlite", tmp_path / "from-postgresql", tmp_path / "from-sqlite-again"]
    for shop, read, written in zip((sqlite, postgres, again), ("", *folders[:2]), folders, strict=True):
        run(shop, "-c", PASS_ON, str(read), str(written))
    one, two, three = map(contents, folders)
    assert one == two == three
    assert len(one["log.jsonl"].splitlines()) > 100


def run(shop: dict[str, str], *arguments: str) -> None:
    """Run a process that finds database and folder as a fresh start does."""
    env = {k: v for k, v in os.environ.items() if not k.startswith("SHOP_")}
    env |= shop | {"DJANGO_SETTINGS_MODULE": "shop.settings", "SHOP_TIME_ZONE": "UTC"}
    command = [sys.executable, *arguments]
    done = subprocess.run(command, cwd=BASE_DIR, env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_everything_kept_is_exported_or_means_nothing_elsewhere():
    kept = {m for m in apps.get_app_config("jobs").get_models() if issubclass(m, Kept)}
    left_out = {m.__name__ for m in kept - {Event, *BESIDE.values()}}
    # a copy of the last event; the locks and heartbeats of running processes
    assert left_out == {"LogHead", "Lease", "Heartbeat"}


@pytest.fixture
def files_folder(tmp_path, settings):
    settings.FILES_DIR = tmp_path / "files"
    settings.FILES_DIR.mkdir()
    return settings.FILES_DIR


@pytest.fixture(scope="session")
def told_once(tmp_path_factory):
    """Return a place for the one export; every test here changes a copy of it."""
    return tmp_path_factory.mktemp("told") / "exported"


@pytest.fixture
def exported(tmp_path, files_folder, told_once, db):
    """Return the export of a long story; the database and the folder of files are empty afterwards."""
    if not told_once.exists():
        with transaction.atomic():
            a_long_story()
            export_to(told_once)
            transaction.set_rollback(True)
        for stored in blobs.all_files():
            stored.unlink()
    dice.go_on()
    return Path(shutil.copytree(told_once, tmp_path / "exported"))


def sign(folder: Path) -> None:
    """Make the trailer fit the files, as somebody who knows the format could."""
    trailer = json.loads((folder / "trailer.json").read_text())
    sums = {n: hashlib.sha256(c).hexdigest() for n, c in contents(folder).items() if n != "trailer.json"}
    (folder / "trailer.json").write_text(dumps(trailer | {"files": sums}))


@pytest.mark.both_databases
@pytest.mark.django_db
class TestImport:
    def test_it_brings_everything(self, exported):
        trailer = import_from(exported, now=LATER, settle=skip_past_due)
        assert verify_log().count == trailer["count"] == Event.objects.count()
        assert compare() == []
        assert [m.__name__ for m in state_models() if not m._default_manager.exists()] == []
        assert Person.objects.get(username="owner").check_password("seven-oak-boards")
        kept = contents(exported / "files")
        assert {p.name: blobs.load(p.name) for p in blobs.all_files()} == kept
        assert b"checklist" in kept.values()
        assert private_texts.read(Client.objects.get().name_ref) == PERSONAL["new name"]
        air = [(r.place, str(r.temp_c), r.voided_at is None) for r in Reading.objects.order_by("place")]
        assert air == [("shop", "18.00", True), ("wood store", "10.00", False)]

    def test_work_goes_on_after_it(self, exported):
        count = import_from(exported, now=LATER, settle=skip_past_due)["count"]
        assert add_client(a_call("shop", LATER), name="Mirek Dvorsky").events[0].seq == count + 1
        assert verify_log().count == count + 1

    def test_keys_used_before_are_still_known(self, tmp_path, files_folder):
        call = a_call("person-1", key="k", fingerprint="a")
        with transaction.atomic():
            first = add_client(call, name="Orla Fenwick")
            export_to(tmp_path / "exported")
            transaction.set_rollback(True)
        import_from(tmp_path / "exported", now=NOON, settle=skip_past_due)
        again = add_client(call, name="Orla Fenwick")
        assert again.replayed and again.events[0].hash == first.events[0].hash

    def test_it_sends_nothing_that_is_past(self, exported):
        import_from(exported, now=LATER, settle=skip_past_due)
        assert set(Delivery.objects.values_list("step", "sent_at")) == {(Delivery.Step.SKIPPED, None)}

    def test_it_takes_the_place_of_the_owner_of_the_first_start(self, exported):
        an_owner("first")
        import_from(exported, now=LATER, settle=skip_past_due)
        assert sorted(Person.objects.values_list("username", flat=True)) == ["maker", "owner"]

    def test_an_empty_log_can_be_brought_too(self, tmp_path, files_folder):
        export_to(tmp_path / "exported")
        assert import_from(tmp_path / "exported", now=NOON, settle=skip_past_due)["count"] == 0

    def test_a_forgotten_text_still_verifies_and_imports(self, tmp_path, files_folder):
        with transaction.atomic():
            a_long_story()
            notes = Commission.objects.get(number="2026-001").notes_ref
            PrivateText.objects.filter(id=notes).delete()
            verify_log()
            assert compare() == []
            export_to(tmp_path / "exported")
            transaction.set_rollback(True)
        import_from(tmp_path / "exported", now=LATER, settle=skip_past_due)
        assert verify_log().count > 100
        assert private_texts.read(notes) == "(forgotten)"
        assert not any(PERSONAL["notes"].encode() in c for c in contents(tmp_path / "exported").values())


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
    "other form": (trailer_with(form=3), Invalid, "unknown form"),
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


def alter_a_paper() -> str:
    """Change a bit of a paper; return what names it."""
    paper = Paper.objects.exclude(file_sha256="").first()
    path = blobs.folder() / paper.file_sha256
    path.write_bytes(b"C" + path.read_bytes()[1:])
    return rf"file {paper.file_sha256} \({paper.number}\) was altered"


def lose_a_picture() -> str:
    picture = Picture.objects.first()
    name = private_texts.read(picture.picture_ref)
    (blobs.folder() / name).unlink()
    return rf"file {name} \(a picture of {picture.piece}\) is missing"


def alter_a_text() -> str:
    event = Event.objects.filter(kind="client_added").first()
    PrivateText.objects.filter(id=event.data["name"]["private"]).update(text="Somebody Else")
    return rf"a text of event {event.seq} \(client_added\) was altered"


@pytest.mark.django_db
def test_what_differs_from_the_log_is_named_and_an_export_leaves_nothing_half_written(
    tmp_path, files_folder, capsys
):
    a_long_story()
    call_command("verify_log", files=True)
    assert "texts, the chain holds" in (said := capsys.readouterr().out) and "files are as they" in said
    whole, fresh, empty = (
        {p: p.read_bytes() for p in blobs.all_files()},
        tmp_path / "new",
        tmp_path / "empty",
    )
    empty.mkdir()
    for damage in (alter_a_paper, lose_a_picture, alter_a_text):
        with transaction.atomic():
            named = damage()
            for folder in (fresh, empty):
                with pytest.raises(CommandError, match=named):
                    call_command("export", str(folder))
            assert not fresh.exists() and list(empty.iterdir()) == []
            if damage == alter_a_text:
                with pytest.raises(CommandError, match=named):
                    call_command("verify_log")
            else:
                call_command("verify_log")
                with pytest.raises(CommandError, match="1 files are missing or altered"):
                    call_command("verify_log", files=True)
                assert re.search(named, capsys.readouterr().err)
            transaction.set_rollback(True)
        for path, content in whole.items():
            path.write_bytes(content)
    named = alter_a_paper()
    call_command("export", str(fresh), leave_out_damaged=True)
    assert re.search(named, capsys.readouterr().err)
    left_out = set(whole) - {blobs.folder() / name for name in contents(fresh / "files")}
    assert [bool(blobs.trouble(p.name)) for p in left_out] == [True]


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
