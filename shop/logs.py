"""What log lines must not hold: links that give access, and what people typed."""

import logging
import re
import smtplib
import traceback
from types import TracebackType

SECRET = re.compile(r"/(c|calendar)/[^/\s'\"?]+", re.IGNORECASE)
PLAIN = (OSError, ImportError)
"""Exceptions whose words come from the machine; others may repeat a name or an address."""
Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class WithoutTokens(logging.Filter):
    """Removes the token from every address before a line is written, and the words of failed tasks."""

    def filter(self, record: logging.LogRecord) -> bool:
        if record.exc_info and isinstance(record.args, dict) and "exc" in record.args:
            record.args = {**record.args, "exc": said(record.exc_info[1]), "traceback": ""}
        record.msg, record.args = SECRET.sub(r"/\1/...", record.getMessage()), ()
        return True


class Lines(logging.Formatter):
    """Writes the type and place of an exception, and its words only where those are safe."""

    def formatException(self, ei: Raised) -> str:
        parts, raised = [], ei[1]
        while raised is not None:
            frames = "".join(traceback.format_tb(raised.__traceback__))
            parts.append(f"{frames}{said(raised)}")
            raised = raised.__cause__ or (None if raised.__suppress_context__ else raised.__context__)
        return SECRET.sub(r"/\1/...", "\n\nwhich came of\n\n".join(parts))


def said(raised: BaseException | None) -> str:
    """Return the type of an exception, with its words where they cannot be a person's."""
    safe = isinstance(raised, PLAIN) and not isinstance(raised, smtplib.SMTPException)
    return f"{type(raised).__name__}: {raised}" if safe else type(raised).__name__
