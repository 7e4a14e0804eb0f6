"""A separate process that prints and draws templates: it starts with the first and ends after a while.

At rest no process holds the memory that printing takes. Pages are served while a paper is printed.
A print that hangs, leaks or crashes ends with that process.
"""

import subprocess
import sys
import threading
from multiprocessing.connection import Connection, Pipe
from typing import Any

from django.conf import settings

from calcs.drawing.top import Top
from jobs.documents.kit.pdf_data import CannotRender, Data, Pictures

LONGEST_S = 40.0
"""Seconds that one paper may take."""
TRIES = 2
"""A process may end just as it is asked, so a second one is tried."""


class Press:
    """The process that prints for this one, started on demand. One paper at a time."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.process: subprocess.Popen[bytes] | None = None
        self.line: Connection[Any, Any] | None = None

    def to_pdf(
        self, html: str, *, size: str, data: Data | None = None, pictures: Pictures | None = None
    ) -> bytes:
        """Print HTML as ``pdf.to_pdf`` does, and raise what it raises.

        Raises
        ------
        CannotRender
            Where this machine cannot print, or a paper takes too long or ends its process.
        """
        made: bytes = self._made("pdf", html, size=size, data=data, pictures=pictures)
        return made

    def to_dxf(self, top: Top, view: str, unit: str, *, title: str) -> str | None:
        """Return a view of a top as ``calcs.drawing.dxf`` does; raise ``CannotRender`` as ``to_pdf``."""
        made: str | None = self._made("dxf", top, view, unit, title=title)
        return made

    def _made(self, what: str, *args: Any, **named: Any) -> Any:
        with self.lock:
            answer = self._answer((what, args, named))
        if isinstance(answer, Exception):
            raise answer
        return answer

    def _answer(self, asked: tuple[str, tuple[Any, ...], dict[str, Any]]) -> Any:
        for _ in range(TRIES):
            try:
                line = self._running()
                line.send(asked)
                if not line.poll(LONGEST_S):
                    self.end()
                    return CannotRender(f"This paper was not printed within {LONGEST_S:g} s.")
                return line.recv()
            except (OSError, EOFError):
                self.end()
        return CannotRender("The process that prints ended while it printed this paper.")

    def _running(self) -> "Connection[Any, Any]":
        """Return the connection to a running process."""
        if self.line and self.process and self.process.poll() is None:
            return self.line
        self.end()
        self.line, theirs = Pipe()
        with theirs:
            number = theirs.fileno()
            self.process = subprocess.Popen(
                [sys.executable, "-m", "jobs.documents.kit.press_process", str(number)],
                cwd=settings.BASE_DIR, stdin=subprocess.DEVNULL, pass_fds=[number],
            )  # fmt: skip
        threading.Thread(
            target=self.process.wait, daemon=True
        ).start()  # reap the process, so that it does not stay as a zombie
        self.line.send(settings.LOGGING)
        return self.line

    def end(self) -> None:
        """End the process, if there is one."""
        if self.line:
            self.line.close()
        if self.process:
            self.process.kill()
        self.line = self.process = None


press = Press()
