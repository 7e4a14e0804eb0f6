"""The ASGI application: it reads each request whole without a thread, then answers it in one.

Django runs as WSGI in a few threads. This bridge lies between the network and them, so that neither a slow
sender nor a slow reader holds a thread.
"""

import asyncio
import logging
import sys
from collections.abc import Awaitable, Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from typing import IO, Any
from urllib.parse import quote_from_bytes
from wsgiref.util import FileWrapper

from django.conf import settings

from shop.bodies import Bodies, Gone, NotTaken, Receive, retry_after_s
from shop.proxies import client_address, counted_as
from shop.wsgi import application as django

Send = Callable[[dict[str, Any]], Awaitable[None]]
Environ = dict[str, Any]
THREADS = 8
LONGEST_BODY = 16 * 1024 * 1024
"""Nothing longer is read; the view refuses it by its announced length."""
SAFE_IN_QUERY = "".join(map(chr, range(0x21, 0x7F)))
"""Only bytes that no address may hold are escaped; what was escaped stays as it is."""
STREAMED_BYTES = 128 * 1024
log = logging.getLogger(__name__)


class BlockFile(FileWrapper):
    """A file that is sent in large blocks, whatever size the framework asks for."""

    def __init__(self, filelike: Any, blksize: int = STREAMED_BYTES) -> None:
        super().__init__(filelike, max(blksize, STREAMED_BYTES))


class Bridge:
    """An ASGI application that answers with a WSGI one."""

    def __init__(self, application: Callable[..., Iterable[bytes]], *, threads: int) -> None:
        self.application = application
        self.pool = ThreadPoolExecutor(threads, thread_name_prefix="request")
        self.bodies = Bodies()

    async def __call__(self, scope: dict[str, Any], receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            raise NotImplementedError(scope["type"])
        headers = _headers(scope)
        try:
            body = await self._body(scope, headers, receive)
        except Gone:
            return
        except NotTaken as refused:
            await _refuse(send, refused)
            return
        with body:
            await self._answer(_environ(scope, headers, body), send)

    async def _body(self, scope: dict[str, Any], headers: dict[str, str], receive: Receive) -> IO[bytes]:
        told = headers.get("CONTENT_LENGTH", "")
        length = int(told) if told.isascii() and told.isdecimal() else 0
        if not 0 < length <= LONGEST_BODY:
            return BytesIO()
        peer = (scope.get("client") or ("", 0))[0]
        address = client_address(peer, headers.get("HTTP_X_FORWARDED_FOR", ""), settings.TRUSTED_PROXIES)
        return await self.bodies.take(receive, length=length, address=counted_as(address))

    async def _answer(self, environ: Environ, send: Send) -> None:
        loop = asyncio.get_running_loop()
        status, headers, first, rest = await loop.run_in_executor(self.pool, self._run, environ)
        await send({"type": "http.response.start", "status": status, "headers": headers})
        try:
            while rest is not None and first is not None:
                await send({"type": "http.response.body", "body": first, "more_body": True})
                first = await loop.run_in_executor(self.pool, next, rest, None)
            await send({"type": "http.response.body", "body": first or b"", "more_body": False})
        finally:
            if rest is not None and (close := getattr(rest, "close", None)):
                await loop.run_in_executor(self.pool, close)

    def _run(self, environ: Environ) -> tuple[int, list[tuple[bytes, bytes]], bytes | None, Any]:
        """Return status, headers, the body or its first block, and the iterator of the other blocks."""
        started: list[Any] = []

        def start_response(status: str, headers: list[tuple[str, str]], exc_info: Any = None) -> Any:
            started[:] = [
                int(status[:3]),
                [(n.lower().encode("latin-1"), v.encode("latin-1")) for n, v in headers],
            ]
            return None

        answer = self.application(environ, start_response)
        if getattr(answer, "streaming", isinstance(answer, FileWrapper)):
            blocks = _Blocks(answer)
            return (*started, next(blocks, None), blocks)
        try:
            return (*started, b"".join(answer), None)
        finally:
            if close := getattr(answer, "close", None):
                close()


class _Blocks:
    """The blocks of a streamed answer; any free thread reads the next one."""

    def __init__(self, answer: Any) -> None:
        self.answer = answer
        self.blocks: Iterator[bytes] = iter(answer)

    def __iter__(self) -> "_Blocks":
        return self

    def __next__(self) -> bytes:
        return next(self.blocks)

    def close(self) -> None:
        if close := getattr(self.answer, "close", None):
            close()


def _headers(scope: dict[str, Any]) -> dict[str, str]:
    """Return the headers by their WSGI names, without those written with ``_``: they pass for others."""
    found: dict[str, list[str]] = {}
    for raw, value in scope["headers"]:
        if b"_" not in raw:
            name = raw.decode("latin-1").upper().replace("-", "_")
            name = name if name in ("CONTENT_LENGTH", "CONTENT_TYPE") else f"HTTP_{name}"
            found.setdefault(name, []).append(value.decode("latin-1"))
    return {name: ("; " if name == "HTTP_COOKIE" else ",").join(values) for name, values in found.items()}


def _environ(scope: dict[str, Any], headers: dict[str, str], body: IO[bytes]) -> Environ:
    """Return the request as a WSGI environ (PEP 3333)."""
    host, port = scope.get("server") or ("localhost", 80)
    peer, peer_port = scope.get("client") or ("", 0)
    return {
        **headers,
        "REQUEST_METHOD": scope["method"],
        "SCRIPT_NAME": "",
        "PATH_INFO": scope["path"].encode("utf-8", "surrogateescape").decode("latin-1"),
        "QUERY_STRING": quote_from_bytes(scope.get("query_string", b""), safe=SAFE_IN_QUERY),
        "SERVER_PROTOCOL": f"HTTP/{scope['http_version']}",
        "SERVER_NAME": host,
        "SERVER_PORT": str(port),
        "REMOTE_ADDR": peer,
        "REMOTE_PORT": str(peer_port),
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": scope.get("scheme", "http"),
        "wsgi.input": body,
        "wsgi.errors": sys.stderr,
        "wsgi.multithread": True,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
        "wsgi.file_wrapper": BlockFile,
    }  # fmt: skip


async def _refuse(send: Send, refused: NotTaken) -> None:
    content = f"{refused}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(content)).encode()),
        (b"connection", b"close"), (b"retry-after", retry_after_s().encode()),
    ]  # fmt: skip
    await send({"type": "http.response.start", "status": refused.status, "headers": headers})
    await send({"type": "http.response.body", "body": content})


application = Bridge(django, threads=THREADS)
