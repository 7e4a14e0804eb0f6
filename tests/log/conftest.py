"""An export of a long story."""

import shutil
from pathlib import Path

import pytest
from django.db import transaction

from jobs.core import blobs
from jobs.log.transfer import export_to
from tests.chance import dice
from tests.stories import a_long_story


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
