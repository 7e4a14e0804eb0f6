"""A cold night that a sensor reports late: mail, push, page and calendar of a real service."""

import http.client
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.domain.reminders.sink import PushSink
from tests.domain.reminders.test_calendar_feed import by_icalendar, by_vobject
from tests.launch.running import eventually, running
from tests.mailbox import MailServer, text_of
from tests.needs import needs
from tests.process.client import Client, Refused, when
from tests.process.driving import in_clamps
from tests.shop_fixtures import QUICK_FINISH, QUICK_GLUE

HOUR = timedelta(hours=1)
NIGHT, SHEET = 9 * HOUR, 8 * HOUR
EPOXY: dict[str, Any] = {
    **{name: value for name, value in QUICK_GLUE.items() if not name.startswith("scrape")},
    "name": "Slow test epoxy", "family": "epoxy", "water_based": False, "rate_k": "6000",
    "min_temp_c": "10", "machine_s": "24 h", "surface_s": "48 h", "full_s": "72 h",
}  # fmt: skip


def glue(client: Client, *, unclamp: timedelta) -> None:
    data = {**EPOXY, "unclamp_s": f"{unclamp.total_seconds():.0f} s"}
    client.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": data})


def night(since: datetime, *, hours: int = 9) -> list[dict[str, Any]]:
    """Return a sensor's quarter hours: 68 °F as the clamps go on, 52 °F two hours later and until morning."""
    temps = [68 - 2 * n for n in range(8)] + [52] * (4 * hours - 8)
    return [
        {"at": (since + n * HOUR / 4).isoformat(), "temperature": f"{t} F", "humidity": 45}
        for n, t in enumerate(temps)
    ]


def fetch(port: int, path: str) -> bytes:
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
        connection.request("GET", path)
        return connection.getresponse().read()


def bring_near(client: Client, wait: dict[str, Any], ready: datetime) -> datetime:
    """Make the sheet faster step by step, until the clamps come off half a minute from now."""
    unclamp, goal = SHEET, datetime.now(UTC) + timedelta(seconds=30)
    since = when(wait["since"])
    for _ in range(6):
        unclamp *= (goal - since) / (ready - since)
        glue(client, unclamp=unclamp)
        ready = when(of(client, wait)["ready_at"])
    return ready


def of(client: Client, wait: dict[str, Any]) -> dict[str, Any]:
    (found,) = client.get(f"pieces/{wait['piece']}/")["waits"]
    return dict(found)


@needs("redis")
@pytest.mark.long
def test_a_cold_night_moves_the_clamps_and_everybody_hears_of_it(tmp_path: Path) -> None:
    with MailServer() as post, PushSink() as phone:
        env = {
            "SHOP_OWNER_PASSWORD": "spokeshave and rasp", "SHOP_OWNER_EMAIL": "ines@shop.example",
            "SHOP_SMTP_URL": f"smtp://127.0.0.1:{post.port}", "SHOP_SWEEP_SECONDS": "1",
            "SHOP_TIME_ZONE": "America/New_York", "SHOP_PUSH_NETWORKS": "127.0.0.0/8",
        }  # fmt: skip
        with running(tmp_path, **env) as service:
            client = Client.of_owner(service, tmp_path)
            client.post("me/push/", {"url": phone.url, "label": "my phone"})
            made = client.post("tokens/", {"label": "my calendar", "scope": "calendar"})
            feed = f"/calendar/{made['text']}.ics"
            sensor = Client(service, client.post("tokens/", {"label": "shelf", "scope": "readings"})["text"])
            glue(client, unclamp=SHEET)
            client.post("sheets/", {"kind": "finish", "key": "quick-finish", "data": QUICK_FINISH})

            wait = in_clamps(client, "Table for six", at=datetime.now(UTC) - NIGHT)
            by_the_sheet = when(wait["ready_at"])
            assert by_the_sheet < datetime.now(UTC), "by the sheet alone the clamps could come off"
            assert eventually(lambda: len(post.mails) == 1 and len(phone.pushes) == 1, at_most_s=30)
            assert eventually(lambda: in_the_feed(service.port, feed, wait, by_the_sheet))

            said = sensor.post("readings/", {"readings": night(when(wait["since"]))})
            assert (said["kept"], said["refused"]) == (36, [])
            with pytest.raises(Refused):
                sensor.get("bench/")
            in_an_hour = datetime.now(UTC) + HOUR
            assert eventually(lambda: when(of(client, wait)["ready_at"]) > in_an_hour, at_most_s=30)
            moved = of(client, wait)
            later = when(moved["ready_at"])
            assert "fell to 52" in moved["reason"]
            assert eventually(lambda: len(post.mails) == 2 and len(phone.pushes) == 2, at_most_s=30)
            assert "not yet" in str(post.mails[1]["Subject"])
            assert "not yet" in phone.pushes[1]["title"].lower()
            assert eventually(lambda: in_the_feed(service.port, feed, wait, later))

            ready = bring_near(client, wait, later)
            assert datetime.now(UTC) < ready < datetime.now(UTC) + timedelta(minutes=2)
            assert len(post.mails) == len(phone.pushes) == 2
            assert eventually(lambda: len(post.mails) == 3 and len(phone.pushes) == 3, at_most_s=150)
            assert ready <= datetime.now(UTC) < ready + timedelta(seconds=20)
            time.sleep(3)  # three more sweeps
            assert len(post.mails) == len(phone.pushes) == 3
            for mail, push in zip(post.mails, phone.pushes, strict=True):
                print(f"\nMail: {mail['Subject']}\n{text_of(mail)}\nPush: {push['title']}\n{push['message']}")


def in_the_feed(port: int, path: str, wait: dict[str, Any], ready: datetime) -> bool:
    """Return whether both parsers find the wait's entry, and its alarm at this moment, in whole seconds."""
    raw = fetch(port, path)
    found = [
        alarm
        for read in (by_icalendar, by_vobject)
        for uid, (_, _, alarms) in read(raw).items()
        for alarm in alarms
        if uid.startswith(f"wait-{wait['id']}@")
    ]
    return len(found) == 2 and all(timedelta() <= at - ready < timedelta(seconds=1) for at in found)
