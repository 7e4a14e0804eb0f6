"""Connections to typed addresses: to the outside only, unless the owner allows more networks.

The check covers the address that is connected to, not the typed one. A name may resolve to another, and a
service may redirect to another. Every connection passes Python's audit hooks, whatever library makes it.
"""

import sys
import threading
from collections.abc import Container, Iterator
from contextlib import contextmanager
from functools import cache
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

from django.conf import settings

CONNECTS = ("socket.connect", "socket.sendto")
NAT64 = ip_network("64:ff9b::/96")
_thread = threading.local()


class Private(OSError):
    """The address belongs to this machine or to a private network."""


@contextmanager
def to_the_outside() -> Iterator[list[str]]:
    """Refuse this thread every connection to a private address; yield the refused ones."""
    _listen()
    refused: list[str] = []
    _thread.refused = refused
    try:
        yield refused
    finally:
        _thread.refused = None


def is_allowed(host: str) -> bool:
    """Return whether a numeric address is outside, or in a network that the owner allows."""
    try:
        address = ip_address(host.partition("%")[0])
    except ValueError:
        return False
    meant = [address, *_within(address)]
    allowed = settings.PUSH_NETWORKS
    return all(
        any(one in network for network in allowed) or one.is_global and not one.is_multicast for one in meant
    )


def _within(address: IPv4Address | IPv6Address) -> list[IPv4Address]:
    """Return the IPv4 addresses that an IPv6 address leads to."""
    if isinstance(address, IPv4Address):
        return []
    found = [address.ipv4_mapped, address.sixtofour, *(address.teredo or ())]
    if address in NAT64:
        found.append(IPv4Address(int(address) & 0xFFFFFFFF))
    return [one for one in found if one is not None]


@cache
def _listen() -> None:
    """Install the audit hook once in a process; Python cannot remove one."""
    sys.addaudithook(_check)


def _check(event: str, args: tuple[object, ...], connects: Container[str] = CONNECTS) -> None:
    """Refuse a connection to an address that is not allowed, and note it.

    ``connects`` outlives the names of an ending process.
    """
    if event not in connects:
        return
    refused: list[str] | None = getattr(_thread, "refused", None)
    if refused is None:
        return
    where = args[1]
    host = str(where[0]) if isinstance(where, tuple) and where else ""
    if not is_allowed(host):
        refused.append(host)
        raise Private("not an address of the outside")
