"""Twenty people at the same pieces at once: each key once, nobody meets a lock, the log has it all."""

import random
import secrets
import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.launch.running import running
from tests.needs import needs
from tests.process.client import Client, Refused, manage
from tests.process.seconds import STAGE, a_box, accepted_commission, give_route

pytestmark = pytest.mark.takes(55)

PEOPLE, PIECES, EACH = 20, 4, 6
VERBS = {"start": {}, "put-back": {}, "finish": {"minutes": 1}, "reopen": {"reason": "glue in the corner"}}
NEXT = {"planned": ("start",), "under way": ("finish", "put-back"), "waiting": ("reopen",)}
NEXT["done"] = NEXT["waiting"]
ENV = {"SHOP_OWNER_PASSWORD": "spokeshave and rasp", "SHOP_TIME_ZONE": "UTC", "SHOP_SWEEP_SECONDS": "2"}


@dataclass
class Told:
    """The answers under each key: the events of a success, each refusal by its code."""

    events: dict[str, list[list[int]]] = field(default_factory=dict)
    fresh: Counter[str] = field(default_factory=Counter)
    refused: Counter[tuple[int, str]] = field(default_factory=Counter)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def send(self, client: Client, path: str, body: dict[str, object], key: str) -> None:
        try:
            answer = client.once("POST", path, body, key=key).body
        except Refused as refused:
            with self.lock:
                self.refused[refused.status, refused.problem["code"]] += 1
            return
        with self.lock:
            self.events.setdefault(key, []).append(answer["events"])
            self.fresh[key] += not answer["replayed"]


def at_work(client: Client, pieces: list[str], told: Told, person: int, rng: random.Random) -> None:
    """Do to a piece what its stage allows; send each second request twice at once, as a poor line would."""
    with ThreadPoolExecutor(2) as line:
        for n in range(EACH):
            piece = rng.choice(pieces)
            (stage, _) = client.get(f"pieces/{piece}/")["stages"]
            verb = rng.choice(NEXT[stage["step"]])
            sent = [line.submit(told.send, client, STAGE.format(piece, verb), VERBS[verb], f"{person}-{n}")
                    for _ in range(1 + n % 2)]  # fmt: skip
            for one in sent:
                one.result()


@pytest.mark.parametrize(
    "database", ["sqlite", pytest.param("postgres", marks=[needs("postgres"), pytest.mark.long])]
)
def test_twenty_people_at_four_pieces(tmp_path: Path, database: str, request: pytest.FixtureRequest) -> None:
    env = {**ENV}
    if database == "postgres":
        env["SHOP_DATABASE_URL"] = request.getfixturevalue("postgres_url")
    seed = secrets.randbelow(2**32)
    print(f"seed {seed}")
    give_route(tmp_path)
    told = Told()
    with running(tmp_path, **env) as service:
        made = manage(tmp_path, "make_token", "owner", "--label", "test", **env)
        assert made.returncode == 0, made.stderr
        client = Client(service, made.stdout.strip())
        commission = accepted_commission(client)
        pieces = [
            client.post(f"commissions/{commission}/pieces/", a_box(f"Box {n}"))["piece"]["number"]
            for n in range(PIECES)
        ]
        before = client.get("events/?after=0&limit=1000")["events"]
        with ThreadPoolExecutor(PEOPLE) as people:
            dice = [random.Random(seed + n) for n in range(PEOPLE)]
            work = [people.submit(at_work, client, pieces, told, n, dice[n]) for n in range(PEOPLE)]
            for person in work:
                person.result()
        after = client.get(f"events/?after={before[-1]['seq']}&limit=1000")["events"]
        for verb in (["verify_log"], ["rebuild", "--check"]):
            done = manage(tmp_path, *verb, **env)
            assert done.returncode == 0, done.stdout + done.stderr

    assert {status for status, _ in told.refused} <= {409}, told.refused
    assert len(told.events) > PEOPLE, "almost nothing was carried out"
    assert set(told.fresh.values()) == {1}, "a key was carried out other than once"
    assert all(answers.count(answers[0]) == len(answers) for answers in told.events.values())
    theirs = sorted(seq for answers in told.events.values() for seq in answers[0])
    assert theirs == [event["seq"] for event in after]
    for words in ("locked", "deadlock", "Traceback"):
        assert words not in (tmp_path / "log" / "shop.log").read_text("utf-8")
