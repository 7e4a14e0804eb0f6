"""Somebody outside the shop, with the files of a test."""

import pytest
from django.test import Client as Browser


@pytest.fixture(autouse=True)
def _own_files(tmp_path, settings):
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


@pytest.fixture
def visitor() -> Browser:
    """Return the browser of somebody outside the shop, which refuses a form from another site."""
    return Browser(raise_request_exception=False, enforce_csrf_checks=True)
