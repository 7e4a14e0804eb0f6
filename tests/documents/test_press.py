"""The process that prints: the same bytes, ended when idle, and its crash ends nothing else."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from multiprocessing.connection import Pipe
from typing import Any

import psutil
import pytest
from django.conf import settings

from jobs.documents.invoice import invoice_html
from jobs.documents.kit import press as client
from jobs.documents.kit import press_process as module
from jobs.documents.kit.einvoice import data_of
from jobs.documents.kit.pdf import CannotRender, to_pdf
from jobs.documents.kit.press import Press
from jobs.documents.kit.press_process import serve
from tests.documents.samples import an_invoice
from tests.launch.running import eventually
from tests.needs import needs

pytestmark = [needs("weasyprint"), pytest.mark.takes(20)]
PAGE = "<html lang='en'><title>A</title><p>Top</p>"
HEAVY = "weasyprint"


@pytest.fixture
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.end()


def pid_of(press: Press) -> int:
    assert press.process is not None
    return press.process.pid


def test_it_prints_the_bytes_that_this_process_would(press: Press):
    frozen = an_invoice()
    html, data = invoice_html(frozen), data_of(frozen)
    assert press.to_pdf(html, size="A4", data=data) == to_pdf(html, size="A4", data=data)
    assert press.to_pdf(html, size="letter") == to_pdf(html, size="letter")


def test_one_process_prints_one_paper_after_another_and_goes_with_its_owner(press: Press):
    press.to_pdf(PAGE, size="A4")
    first = pid_of(press)
    press.to_pdf(PAGE, size="A4")
    assert pid_of(press) == first
    press.end()
    assert eventually(lambda: not psutil.pid_exists(first)), "not even as a zombie"


def test_one_that_was_killed_is_followed_by_another(press: Press):
    before = press.to_pdf(PAGE, size="A4")
    first = pid_of(press)
    os.kill(first, signal.SIGKILL)
    assert press.to_pdf(PAGE, size="A4") == before
    assert pid_of(press) != first


def test_one_that_goes_in_the_moment_it_is_asked_is_followed_by_another(press: Press):
    before = press.to_pdf(PAGE, size="A4")
    first = psutil.Process(pid_of(press))
    first.suspend()
    threading.Timer(0.5, first.kill).start()
    assert press.to_pdf(PAGE, size="A4") == before


def test_a_print_that_hangs_ends_in_time_and_the_next_is_printed(
    press: Press, monkeypatch: pytest.MonkeyPatch
):
    press.to_pdf(PAGE, size="A4")
    hung = psutil.Process(pid_of(press))
    hung.suspend()
    with monkeypatch.context() as short:
        short.setattr(client, "LONGEST_S", 0.3)
        with pytest.raises(CannotRender, match=r"not printed within 0\.3 s"):
            press.to_pdf(PAGE, size="A4")
    assert eventually(lambda: not hung.is_running())
    assert press.to_pdf(PAGE, size="A4")


def test_what_ends_every_process_is_told(press: Press, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with pytest.raises(CannotRender, match="ended while it printed"):
        press.to_pdf(PAGE, size="A4")


def test_what_to_pdf_refuses_is_refused_here(press: Press):
    with pytest.raises(RuntimeError, match="KeyError while it was printed"):
        press.to_pdf(PAGE, size="A3")
    assert press.to_pdf(PAGE, size="A4"), "and the process goes on"


LOG = {"version": 1, "incremental": True}
"""Leaves the logging of this process unchanged."""


def served(*papers: tuple[str, str]) -> list[Any]:
    """Serve these papers in this process; return the answers."""
    ours, theirs = Pipe()
    with ours, theirs:
        for sent in (LOG, *(("pdf", (html,), {"size": size}) for html, size in papers)):
            ours.send(sent)
        serve(theirs)
        theirs.close()
        answers = []
        with suppress(EOFError, ConnectionError):
            while True:
                answers.append(ours.recv())
    return answers


def test_it_goes_when_nothing_comes_for_a_while(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(module, "IDLE_S", 0.2)
    began = time.monotonic()
    (answer,) = served((PAGE, "A4"))
    assert answer[:4] == b"%PDF"
    assert time.monotonic() - began < client.LONGEST_S


def test_it_goes_when_it_has_printed_enough(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(module, "MOST_OF_ONE", 2)
    assert [answer[:4] for answer in served(*[(PAGE, "A4")] * 3)] == [b"%PDF"] * 2


def test_it_goes_when_the_other_side_is_gone():
    ours, theirs = Pipe()
    ours.send(LOG)
    ours.close()
    began = time.monotonic()
    serve(theirs)
    assert time.monotonic() - began < module.IDLE_S / 2


def test_whoever_asks_for_papers_does_not_load_the_printer():
    ask = (
        "import sys, django; django.setup()\n"
        "import jobs.worker.tasks, shop.urls\n"
        "from jobs.documents.kit.press import press\n"
        f"assert press.to_pdf({PAGE!r}, size='A4')[:4] == b'%PDF'\n"
        f"print({HEAVY!r} in sys.modules)\n"
    )
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    done = subprocess.run(
        [sys.executable, "-c", ask], env=env, cwd=settings.BASE_DIR, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["False"]
