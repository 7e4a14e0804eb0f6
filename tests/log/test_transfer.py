"""Export and import: the way from one database to another."""

import os
import subprocess
import sys

import pytest
from django.apps import apps
from django.db import transaction

from jobs.core import blobs
from jobs.domain.clients.commands import add_client
from jobs.domain.reminders.pending import skip_past_due
from jobs.log import private_texts
from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from jobs.log.scratch_database import state_models
from jobs.log.transfer import BESIDE, export_to, import_from
from jobs.models import Client, Commission, Delivery, Event, Person, PrivateText, Reading
from jobs.models.bases import Kept
from shop.env import BASE_DIR
from tests.log.exported import LATER, contents
from tests.needs import needs
from tests.shop_fixtures import NOON, a_call, an_owner
from tests.stories import PERSONAL, a_long_story

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
