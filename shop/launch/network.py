"""Addresses: what to listen on, what to print, which host names the service answers to."""

import http.client
import socket
from contextlib import closing

EVERY = {"0.0.0.0", "::"}
LOCAL = ["localhost", "127.0.0.1", "[::1]"]


def address(host: str, port: int) -> str:
    return f"http://{bracketed(own_address() if host in EVERY else host)}:{port}"


def bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def own_address() -> str:
    """Return this machine's address in its network, found without sending anything."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for documentation, routed nowhere
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])


def names(host: str) -> list[str]:
    """Return the host names a browser may use: local ones alone, or also those of the network served."""
    if host not in EVERY:
        return list(dict.fromkeys([*LOCAL, bracketed(host)]))
    name = socket.gethostname()
    return list(dict.fromkeys([*LOCAL, own_address(), name, f"{name.partition('.')[0]}.local"]))


def cannot_listen(host: str, port: int) -> str:
    """Return why this address cannot be used, or an empty string."""
    try:
        family, kind, protocol, _, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind, protocol) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(where)
    except OSError as problem:
        return problem.strerror or str(problem)
    return ""


def serves(host: str, port: int) -> bool:
    """Return whether the web server answers a request at all."""
    target = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
    with closing(http.client.HTTPConnection(target, port, timeout=10)) as connection:
        try:
            connection.request("GET", "/sign-in/")
            return connection.getresponse().status > 0
        except (OSError, http.client.HTTPException):
            return False
