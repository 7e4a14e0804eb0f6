"""A person in a browser at a running service: signs in and opens pages."""

import http.client
import re
from contextlib import closing
from typing import NamedTuple
from urllib.parse import urlencode

from tests.launch.running import Running

LINK = re.compile(rb'href="(/[^"#?]*)"')
NOT_PAGES = ("/static/", "/sign-out", "/api/")


class Answer(NamedTuple):
    """The answer to a request."""

    status: int
    headers: http.client.HTTPMessage
    body: bytes

    def is_a(self, kind: str) -> bool:
        return self.status == 200 and self.headers.get("Content-Type", "").startswith(kind)


def asked(service: Running, method: str, path: str, body: str = "", **headers: str) -> Answer:
    with closing(http.client.HTTPConnection("127.0.0.1", service.port, timeout=60)) as line:
        line.request(method, path, body or None, headers)
        answer = line.getresponse()
        return Answer(answer.status, answer.headers, answer.read())


def sign_in(service: Running, typed: dict[str, str], cookies: str = "") -> Answer:
    mark = cookie_of(asked(service, "GET", "/sign-in/"), "csrftoken")
    kind = "application/x-www-form-urlencoded"
    form = urlencode({**typed, "csrfmiddlewaretoken": mark})
    return asked(
        service, "POST", "/sign-in/", form, **{"Content-Type": kind, "Cookie": f"csrftoken={mark}; {cookies}"}
    )


def cookie_of(answer: Answer, name: str) -> str:
    told = next(c for c in answer.headers.get_all("Set-Cookie", []) if c.startswith(f"{name}="))
    return told.split(";")[0].partition("=")[2]


def signed_in(service: Running, typed: dict[str, str]) -> str:
    """Sign in; return the cookie."""
    answer = sign_in(service, typed)
    assert answer.status == 302, answer
    return f"sessionid={cookie_of(answer, 'sessionid')}"


def walk(service: Running, cookie: str, *, most: int) -> list[str]:
    """Open the first page, then the pages it links to; return their paths."""
    opened, ahead = [], ["/"]
    while ahead and len(opened) < most:
        path = ahead.pop(0)
        answer = asked(service, "GET", path, Cookie=cookie)
        if not answer.is_a("text/html"):
            continue
        opened.append(path)
        found = [link.decode() for link in LINK.findall(answer.body)]
        ahead += [
            p for p in dict.fromkeys(found) if not p.startswith(NOT_PAGES) and p not in [*opened, *ahead]
        ]
    return opened
