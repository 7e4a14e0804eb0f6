"""A program that uses the API of a running service: standard library, without the project's code."""

import http.client
import json
import secrets
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from shop.env import BASE_DIR
from tests.launch.running import Running, clean_env

LONGEST_TRY_S = 90


class Refused(AssertionError):
    """The API answered with a problem document."""

    def __init__(self, status: int, problem: dict[str, Any]) -> None:
        super().__init__(f"{status}: {problem}")
        self.status, self.problem = status, problem


@dataclass(frozen=True)
class Answer:
    status: int
    body: Any


def manage(data: Path, *arguments: str, **env: str) -> subprocess.CompletedProcess[str]:
    """Run a management command over the folder of a running service."""
    command = [sys.executable, str(BASE_DIR / "manage.py"), *arguments]
    return subprocess.run(command, env=clean_env(data, **env), capture_output=True, text=True, timeout=120)


class Client:
    def __init__(self, service: Running, token: str) -> None:
        self.port, self.token = service.port, token

    @classmethod
    def of_owner(cls, service: Running, data: Path) -> "Client":
        made = manage(data, "make_token", "owner", "--label", "test")
        assert made.returncode == 0, made.stderr
        return cls(service, made.stdout.strip())

    def get(self, path: str) -> Any:
        return self.once("GET", path).body

    def post(self, path: str, body: dict[str, Any], *, key: str = "") -> Any:
        return self.once("POST", path, body, key=key or secrets.token_hex(8)).body

    def once(self, method: str, path: str, body: Any = None, *, key: str = "") -> Answer:
        """Send one request; raise a problem document."""
        headers = {"Authorization": f"Bearer {self.token}", "Content-Type": "application/json"}
        if key:
            headers["Idempotency-Key"] = f'"{key}"'
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)) as connection:
            content = json.dumps(body) if body is not None else None
            connection.request(method, f"/api/v1/{path}", content, headers)
            response = connection.getresponse()
            answer = Answer(response.status, json.loads(response.read()))
        if answer.status >= 400:
            raise Refused(answer.status, answer.body)
        return answer

    def until_acknowledged(self, path: str, body: dict[str, Any], *, key: str) -> tuple[Answer, int]:
        """Repeat a request under its key until it is answered; return the answer and how often it failed."""
        limit, broken = time.monotonic() + LONGEST_TRY_S, 0
        while True:
            try:
                return self.once("POST", path, body, key=key), broken
            except (OSError, http.client.HTTPException):
                broken += 1
                assert time.monotonic() < limit, f"{key} was never answered"
                time.sleep(0.2)


def when(text: str) -> datetime:
    return datetime.fromisoformat(text)
