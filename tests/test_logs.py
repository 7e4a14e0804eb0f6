"""Lines of the log: the type and place of an exception, never what somebody typed."""

import logging
import sys

import pytest
from django.db import IntegrityError

from shop.logs import Lines, WithoutTokens

NAME = "Orla Fenwick"


def line(raised: Exception, *args: object, message: str = "it failed") -> str:
    """Return the line of a record about an exception, as the handlers write it."""
    try:
        try:
            raise KeyError(NAME)
        except KeyError as cause:
            raise raised from cause
    except Exception:
        told = sys.exc_info()
    record = logging.LogRecord("celery.app.trace", logging.ERROR, __file__, 1, message, args, told)
    WithoutTokens().filter(record)
    return Lines("{message}", style="{").format(record)


def test_a_database_may_repeat_a_name_and_is_not_quoted():
    told = line(IntegrityError(f"DETAIL: Key (text)=({NAME}) exists"))
    assert NAME not in told
    assert "IntegrityError" in told and "which came of" in told and "KeyError" in told
    assert "test_logs.py" in told, "where it was raised"


@pytest.mark.parametrize("way", ["/c/", "/C/", "/calendar/", "/Calendar/", "/CALENDAR/"])
def test_a_link_that_opens_something_is_masked_however_it_is_written(way: str):
    told = line(FileNotFoundError(f"{way}AbC123secret/x"), message=f"Not Found: {way}AbC123secret/?a=1")
    assert "AbC123secret" not in told and f"{way}..." in told


def test_what_the_machine_says_stays():
    assert "Connection refused" in line(ConnectionRefusedError(111, "Connection refused"))


@pytest.mark.parametrize("words", ["Task %(name)s raised %(exc)s\n%(traceback)s"])
def test_a_failed_task_is_told_by_its_kind(words: str):
    context = {"name": "jobs.tasks.sweep", "exc": f"ValueError({NAME!r})", "traceback": f"... {NAME}"}
    told = line(ValueError(NAME), context, message=words)
    assert told.startswith("Task jobs.tasks.sweep raised ValueError") and NAME not in told


def test_a_token_is_taken_out_of_a_traceback_too():
    assert "/c/sesame" not in line(OSError("/c/sesame/"))
