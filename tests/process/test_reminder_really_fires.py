"""The real process tree, a real wait of seconds, and the mail that arrives in the mail folder.

No patched clock, no eager tasks: beat queues, the worker sweeps, the file is written.
"""

import time
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest

from tests.launch.running import Running, running
from tests.mailbox import mails_in, text_of
from tests.process.client import Client, when
from tests.process.driving import in_clamps, sheets

pytestmark = pytest.mark.takes(41)

ENV = {
    "SHOP_OWNER_PASSWORD": "spokeshave and rasp", "SHOP_OWNER_EMAIL": "ines@shop.example",
    "SHOP_SWEEP_SECONDS": "2", "SHOP_TIME_ZONE": "UTC",
}  # fmt: skip
AT_MOST = timedelta(seconds=10)


def wait_for_mail(folder: Path, *, of: str = "", at_most_s: float) -> datetime:
    """Return the moment at which the first mail was there, of any piece or of this one."""
    until = time.monotonic() + at_most_s
    while time.monotonic() < until:
        if mails_of(folder, of):
            return datetime.now(UTC)
        time.sleep(0.05)
    raise AssertionError("no mail came")


def mails_of(folder: Path, piece: str) -> list[EmailMessage]:
    return [mail for mail in mails_in(folder) if not piece or piece in str(mail["Subject"]).split()]


def test_a_reminder_comes_when_the_wait_is_over_and_not_before(
    service: Running, data: Path, client: Client
) -> None:
    sheets(client, unclamp="15 s")
    wait = in_clamps(client, "Table for six")
    ready, piece = when(wait["ready_at"]), wait["piece"]
    assert ready == when(wait["since"]) + timedelta(seconds=15)
    assert mails_of(data / "mail", piece) == []
    assert on_screen(client, wait) == []

    came = wait_for_mail(data / "mail", of=piece, at_most_s=40)
    assert ready <= came <= ready + AT_MOST
    (mail,) = mails_of(data / "mail", piece)
    assert mail["To"] == "ines@shop.example"
    assert mail["Subject"] == f"{piece} Clamps off: ready since {ready:%H:%M}"
    assert f"http://127.0.0.1:{service.port}/pieces/{piece}/stages/" in text_of(mail)
    assert on_screen(client, wait) == [wait["id"]]
    time.sleep(3)  # two more sweeps
    assert len(mails_of(data / "mail", piece)) == 1


def on_screen(client: Client, wait: dict[str, Any]) -> list[int]:
    return [r["wait"] for r in client.get("reminders/") if r["wait"] == wait["id"]]


@pytest.mark.long
def test_what_fell_due_while_nothing_ran_goes_out_once_and_the_late_one_says_so(tmp_path: Path) -> None:
    """One wait is over 10 s after the stop; the other was over ten minutes before it was entered."""
    slow = {**ENV, "SHOP_SWEEP_SECONDS": "600"}
    with running(tmp_path, **slow) as service:
        client = Client.of_owner(service, tmp_path)
        sheets(client, unclamp="20 s")
        entered_late = in_clamps(client, "Long table", at=datetime.now(UTC) - timedelta(minutes=11))
        running_on = in_clamps(client, "Side table")
        assert when(running_on["ready_at"]) > datetime.now(UTC)
    assert mails_in(tmp_path / "mail") == []
    time.sleep(max(0.0, (when(running_on["ready_at"]) - datetime.now(UTC)).total_seconds()))

    with running(tmp_path, **ENV) as service:
        wait_for_mail(tmp_path / "mail", at_most_s=20)
        time.sleep(6)  # three sweeps
    mails = {mail["Subject"]: mail for mail in mails_in(tmp_path / "mail")}
    assert len(mails_in(tmp_path / "mail")) == 2
    due = when(entered_late["ready_at"])
    late = mails[f"Late: {entered_late['piece']} Clamps off: ready since {clock(due)}"]
    assert f"This reminder was due at {clock(due)} UTC; it comes late." in text_of(late)
    on_time = mails[f"{running_on['piece']} Clamps off: ready since {clock(when(running_on['ready_at']))}"]
    assert "late" not in text_of(on_time)

    with running(tmp_path, **ENV) as service:
        time.sleep(5)
    assert len(mails_in(tmp_path / "mail")) == 2, "a third start says nothing again"


def clock(moment: datetime) -> str:
    """Return the time, with its day where that is not today: a run over midnight."""
    today = datetime.now(UTC).date()
    return f"{moment:%H:%M}" if moment.date() == today else f"{moment:%a %d %b %Y %H:%M}"
