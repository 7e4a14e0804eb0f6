"""The real process tree of ``manage.py start``, with nothing patched."""

import signal
import socket
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest
import redis

from shop.env import SOCKET_PATH_LIMIT, broker_socket
from tests.launch.running import Running, alive, eventually, running

pytestmark = pytest.mark.takes(40)

PASSWORD = "spokeshave and rasp"


class Shop:
    """A data folder whose service starts on demand."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.started: list[Running] = []

    def up(self) -> Running:
        if not self.started or self.started[-1].launcher.poll() is not None:
            port = self.started[0].port if self.started else None
            self.started.append(Running(self.data, port=port).up())
        return self.started[-1]

    def end(self) -> None:
        if self.started and self.started[-1].launcher.poll() is None:
            self.started[-1].end()


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Return a shop whose owner has a generated password."""
    shop = Shop(tmp_path_factory.mktemp("shop"))
    yield shop
    shop.end()


def test_a_second_start_is_refused_while_the_first_runs(shop: Shop) -> None:
    first = shop.up()
    second = Running(shop.data)
    assert f"http://127.0.0.1:{first.port}" in second.wait_for("Already running")
    assert second.launcher.wait(10) == 1
    assert first.get() == 200


def test_a_part_that_dies_is_started_again(shop: Shop) -> None:
    service = shop.up()
    before = service.tree()
    for name, word in {"web": "granian", "worker": "worker", "beat": "shop.beat"}.items():
        service.part(word).kill()
        service.wait_for(f"The {name} ended (signal SIGKILL)", at_most_s=30)
        service.wait_for(f"The {name} runs again", at_most_s=30)
    assert eventually(service.answers)
    assert [process.name() for process in alive(before)] == ["valkey-server"]


def test_after_a_hard_kill_of_the_launcher_the_next_start_clears_up(shop: Shop) -> None:
    service = shop.up()
    orphans = service.tree()
    service.end(signal.SIGKILL)
    assert alive(orphans), "nothing was left to clear up"
    again = shop.up()
    assert "Cleared up" in again.said
    assert alive(orphans) == []
    assert again.get() == 200


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_one_signal_ends_everything(shop: Shop, number: signal.Signals) -> None:
    service = shop.up()
    assert service.get() == 200
    assert eventually(lambda: len(service.tree()) >= 6)  # broker, web and two, worker, beat
    tree = service.tree()
    assert service.end(number) == 0
    assert alive(tree) == []


def test_the_generated_password_is_printed_once(shop: Shop) -> None:
    while len(shop.started) < 2:
        shop.end()
        shop.up()
    first, *later = [service.said.lower().count("password") for service in shop.started]
    assert first == 1 and set(later) == {0}


@pytest.mark.long
def test_after_a_hard_kill_of_all_of_it_the_next_start_runs(tmp_path: Path) -> None:
    with running(tmp_path, SHOP_OWNER_PASSWORD=PASSWORD) as service:
        for process in [psutil.Process(service.launcher.pid), *service.tree()]:
            process.kill()
        service.launcher.wait()
    with running(tmp_path, port=service.port) as again:
        assert again.get() == 200


@pytest.mark.long
def test_the_broker_is_started_again_and_keeps_what_it_had(tmp_path: Path) -> None:
    with running(tmp_path, SHOP_OWNER_PASSWORD=PASSWORD) as service:
        socket_path = str(broker_socket(tmp_path))
        client = redis.Redis(unix_socket_path=socket_path)
        client.set("kept", "yes")
        assert client.waitaof(1, 0, 5000)[0] == 1  # it is on disk
        next(process for process in service.tree() if process.name() == "valkey-server").kill()
        service.wait_for("The broker runs again", at_most_s=30)
        assert eventually(lambda: reads(socket_path) == b"yes")


@pytest.mark.long
def test_a_data_folder_too_deep_for_a_socket_works(tmp_path: Path) -> None:
    deep = tmp_path / ("d" * 60) / ("e" * 60)
    assert len(str(broker_socket(deep))) <= SOCKET_PATH_LIMIT
    assert not broker_socket(deep).is_relative_to(deep)
    with running(deep, SHOP_OWNER_PASSWORD=PASSWORD) as service:
        assert service.get() == 200
        assert broker_socket(deep).is_socket()
    broker_socket(deep).parent.rmdir()


def test_a_port_in_use_is_named_and_nothing_stays_behind(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        service = Running(tmp_path, port=other.getsockname()[1])
        service.wait_for("Cannot listen on")
        assert service.launcher.wait(10) == 1
    assert not broker_socket(tmp_path).exists()


@pytest.mark.parametrize(
    "name, value, said",
    [
        ("SHOP_DEBUG", "perhaps", "SHOP_DEBUG: 'perhaps' is not one of"),
        ("SHOP_DATABASE_URL", "mysql://a:b@localhost/shop", "SHOP_DATABASE_URL: expected postgres://"),
        ("SHOP_DATABASE_URL", "postgres://a:b@127.0.0.1:1/shop", "SHOP_DATABASE_URL: cannot connect"),
        ("SHOP_REDIS_URL", "redis://127.0.0.1:1/0", "SHOP_REDIS_URL: no Redis server answers"),
        ("SHOP_SWEEP_SECONDS", "soon", "SHOP_SWEEP_SECONDS: 'soon' is not a number of seconds"),
    ],
)
def test_a_bad_setting_stops_the_start_with_one_clear_line(
    tmp_path: Path, name: str, value: str, said: str
) -> None:
    service = Running(tmp_path, **{name: value})  # type: ignore[arg-type]
    service.wait_for(said)
    assert service.launcher.wait(10) != 0
    assert "Traceback" not in service.said


def test_a_port_outside_the_range_is_refused(tmp_path: Path) -> None:
    service = Running(tmp_path, port=70000)
    service.wait_for("'70000' is not a port from 1 to 65535")
    assert service.launcher.wait(10) == 2


def reads(socket_path: str) -> object:
    try:
        return redis.Redis(unix_socket_path=socket_path).get("kept")
    except redis.RedisError:
        return None
