"""What a monitor asks a running service."""

import http.client
import json
from collections.abc import Callable
from contextlib import closing
from typing import Any

from tests.launch.running import Running

ENV = {"SHOP_OWNER_PASSWORD": "spokeshave and rasp", "SHOP_TIME_ZONE": "UTC", "SHOP_SWEEP_SECONDS": "1"}


def health(service: Running, path: str = "/api/v1/health") -> tuple[int, Any]:
    with closing(http.client.HTTPConnection("127.0.0.1", service.port, timeout=20)) as connection:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, json.loads(answer.read())


def says(service: Running, status: int, word: str) -> Callable[[], bool]:
    def holds() -> bool:
        got, body = health(service)
        return got == status and (word in " ".join(body["reasons"]) if word else body["reasons"] == [])

    return holds
