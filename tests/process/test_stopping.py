"""A worker that is asked to stop, and a night in which nothing ran."""

import signal
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.launch.running import eventually
from tests.mailbox import MailServer, text_of
from tests.needs import needs
from tests.process.fleet import fleet
from tests.process.seconds import give_route
from tests.process.test_storm import JOINT, ledger

pytestmark = [needs("redis"), pytest.mark.takes(50)]


def test_a_worker_asked_to_stop_ends_after_the_message_in_hand_and_repeats_none(tmp_path: Path) -> None:
    give_route(tmp_path)
    with MailServer() as server, fleet(tmp_path, SHOP_SMTP_URL=f"smtp://127.0.0.1:{server.port}") as ships:
        ships.python("-m", "tests.process.many_due", "30", "30", "-1")

        def stop_at_third(session: Any) -> None:
            if len(server.mails) == 3:
                ships.running["worker"].send_signal(signal.SIGTERM)
                time.sleep(1)  # the mail server is slow, and the worker must wait for it

        server.on_data = stop_at_third
        ships.start_worker("worker")
        assert eventually(lambda: len(server.mails) >= 3, at_most_s=60)
        assert ships.running["worker"].wait(10) == 0, "within what the launcher allows it"
        assert len(server.mails) < 30
        steps = Counter(step for step, _, _ in ledger(ships).values())
        assert steps == {"sent": len(server.mails)}, "no claim is left behind"

        ships.start_worker("worker")
        assert eventually(lambda: len(server.mails) >= 30, at_most_s=60)
        ships.end("worker")
        assert len({mail["Message-ID"] for mail in server.mails}) == len(server.mails) == 30


def test_after_a_night_with_everything_off_each_person_gets_one_digest(tmp_path: Path) -> None:
    give_route(tmp_path)
    with MailServer() as server, fleet(tmp_path, SHOP_SMTP_URL=f"smtp://127.0.0.1:{server.port}") as ships:
        ships.start_worker("worker")
        ships.end("worker")
        ships.kill("broker")
        ships.python("-m", "tests.process.many_due", "80", "2", "-36000")  # forty each, ten hours ago
        assert server.mails == []

        ships.start_broker()
        for _ in range(2):  # the second start says nothing again
            ships.start_worker("worker")
            assert eventually(lambda: len(server.mails) >= 2, at_most_s=60)
            assert eventually(lambda: all(s == "sent" for s, _, _ in ledger(ships).values()))
            ships.end("worker")
        assert len(server.mails) == 2
        assert {str(mail["To"]) for mail in server.mails} == {"person0@shop.example", "person1@shop.example"}
        for mail in server.mails:
            assert str(mail["Subject"]).startswith("Late: 40 reminders, the first was due")
            first = int(str(mail["To"])[6])
            assert sorted({int(n) for n in JOINT.findall(text_of(mail))}) == list(range(first, 80, 2))
