"""The process that prints: it alone loads the libraries that it takes."""

import logging
import logging.config
import sys
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from calcs.drawing.dxf import dxf
from jobs.documents.kit.pdf import to_pdf
from jobs.documents.kit.pdf_data import CannotRender

IDLE_S = 30.0
"""Seconds that it waits for the next paper."""
MOST_OF_ONE = 200
"""Papers that one process prints before a fresh one replaces it."""
MAKES: dict[str, Callable[..., Any]] = {"pdf": to_pdf, "dxf": dxf}
log = logging.getLogger(__name__)


def serve(line: "Connection[Any, Any]") -> None:
    """Print what arrives; return when idle, when the other side is gone or after ``MOST_OF_ONE`` papers."""
    try:
        logging.config.dictConfig(line.recv())
        for _ in range(MOST_OF_ONE):
            if not line.poll(IDLE_S):
                return
            line.send(_made(*line.recv()))
    except (EOFError, ConnectionError):
        return


def _made(what: str, args: tuple[Any, ...], named: dict[str, Any]) -> Any:
    try:
        return MAKES[what](*args, **named)
    except CannotRender as told:
        return told
    except Exception as broken:
        log.warning("a paper was not printed", exc_info=broken)
        return RuntimeError(f"{type(broken).__name__} while it was printed")


if __name__ == "__main__":
    with Connection(int(sys.argv[1])) as ours:
        serve(ours)
