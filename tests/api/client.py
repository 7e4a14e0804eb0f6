"""A client of the API that checks every answer against the published schema."""

import json
import re
from functools import cache
from typing import Any

from django.test import Client
from jsonschema_rs import Validator, validator_for

from jobs.api.kit.description import description as sent
from jobs.domain.workshop.accounts import make_token
from jobs.models import Event, Person, Token
from tests.shop_fixtures import NOON

BASE = "/api/v1/"
PROBLEM = "application/problem+json"


class Api:
    """A client with somebody's token, or without one."""

    def __init__(self, person: Person | None = None) -> None:
        self.http = Client(raise_request_exception=False)
        self.headers: dict[str, str] = {}
        if person is not None:
            self.token, self.text = a_token(person)
            self.headers["Authorization"] = f"Bearer {self.text}"

    def get(self, address: str, **more: Any) -> Any:
        return self.ask("GET", address, **more)

    def post(self, address: str, body: Any = None, **more: Any) -> Any:
        return self.ask("POST", address, {} if body is None else body, **more)

    def put(self, address: str, body: Any, **more: Any) -> Any:
        return self.ask("PUT", address, body, **more)

    def patch(self, address: str, body: Any, **more: Any) -> Any:
        return self.ask("PATCH", address, body, **more)

    def delete(self, address: str, **more: Any) -> Any:
        return self.ask("DELETE", address, **more)

    def ask(
        self, method: str, address: str, body: Any = None, *, raw: bytes | None = None, **headers: str
    ) -> Any:
        """Send one request; ``headers`` as ``Idempotency_Key=...``."""
        path = address if address.startswith("/") else BASE + address
        told = {**self.headers, **{name.replace("_", "-"): value for name, value in headers.items()}}
        data = raw if raw is not None else b"" if body is None else json.dumps(body).encode()
        answer = self.http.generic(method, path, data, content_type="application/json", headers=told)
        if answer.headers.get("Content-Type", "").endswith("json"):
            answer.data = json.loads(answer.content)
        check(answer, method)
        return answer


def a_token(person: Person) -> tuple[Token, str]:
    return make_token(person, label="tests", now=NOON)


def check(answer: Any, method: str) -> None:
    """Check an answer against the schema: status, media type, and exactly the described members."""
    if answer.status_code >= 400:
        assert answer.headers["Content-Type"] == PROBLEM, f"{method} {answer.request['PATH_INFO']}"
        assert answer.data["status"] == answer.status_code
    operation = described(answer.resolver_match, method)
    if operation is None:
        return
    assert str(answer.status_code) in operation["responses"], f"{answer.status_code}: {answer.content[:300]}"
    content = operation["responses"][str(answer.status_code)].get("content", {})
    for media_type, told in content.items():
        if media_type.endswith("json"):
            validator(json.dumps(told["schema"])).validate(answer.data)


def described(match: Any, method: str) -> dict[str, Any] | None:
    path = "/" + re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", match.route) if match else ""
    return description()["paths"].get(path, {}).get(method.lower())


@cache
def description() -> dict[str, Any]:
    """Return the schema as the service sends it: made once, by one thread."""
    made: dict[str, Any] = json.loads(sent().plain)
    return made


@cache
def validator(schema: str) -> Validator:
    components = json.loads(json.dumps(description()["components"]))
    for name, shape in components["schemas"].items():
        if name != "Problem":
            shape.setdefault("additionalProperties", False)
    return validator_for({**json.loads(schema), "components": components})


def head() -> int:
    """Return the number of events."""
    return Event.objects.count()


def refused(answer: Any, status: int, code: str, field: str | None = None) -> dict[str, Any]:
    """Check that the answer is this problem; return the first of its errors."""
    assert (answer.status_code, answer.data["code"]) == (status, code), answer.data
    if field is None:
        return {}
    error: dict[str, Any] = answer.data["errors"][0]
    assert error["field"] == field, answer.data
    return error
