"""Read what was really sent: the files of the file backend, and a test mail server."""

import socket
from collections.abc import Callable
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller

DIVIDER = b"-" * 79 + b"\n"
"""What Django's file backend writes after each mail."""


def mails_in(folder: Path) -> list[EmailMessage]:
    """Return every complete mail in the files of this folder."""
    found = []
    for path in sorted(folder.iterdir(), key=lambda p: p.stat().st_mtime_ns):
        found += [read(part) for part in path.read_bytes().split(DIVIDER)[:-1]]
    return found


def read(raw: bytes) -> EmailMessage:
    message = message_from_bytes(raw, policy=policy.default)
    assert isinstance(message, EmailMessage)
    return message


def text_of(mail: EmailMessage) -> str:
    return part(mail, "plain")


def html_of(mail: EmailMessage) -> str:
    return part(mail, "html")


def part(mail: EmailMessage, kind: str) -> str:
    body = mail.get_body((kind,))
    assert body is not None
    return str(body.get_content())


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class MailServer:
    """A real SMTP server that keeps what it receives; ``on_data`` may act before it answers."""

    def __init__(self) -> None:
        self.mails: list[EmailMessage] = []
        self.refuse_address = ""
        self.on_data: Callable[[Any], str | None] = lambda session: None
        self.port = free_port()
        self.controller = Controller(self, hostname="127.0.0.1", port=self.port)

    async def handle_RCPT(self, server: Any, session: Any, envelope: Any, address: str, options: Any) -> str:
        if address == self.refuse_address:
            return f"550 no such mailbox {address}"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        self.mails.append(read(envelope.content))
        return self.on_data(server) or "250 taken"

    def __enter__(self) -> "MailServer":
        self.controller.start()
        return self

    def __exit__(self, *problem: object) -> None:
        self.controller.stop()
