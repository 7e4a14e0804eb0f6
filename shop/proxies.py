"""The client's address and whether it came by HTTPS, as a trusted proxy names them."""

import logging
from collections.abc import Callable, Sequence
from functools import cache
from ipaddress import IPv6Address, ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from shop.env import Network

PROTOCOL = "HTTP_X_FORWARDED_PROTO"
log = logging.getLogger(__name__)


class ClientAddress:
    """Middleware: set ``REMOTE_ADDR`` to the client's address, by which limits are counted.

    It drops what a peer says of HTTPS unless it is a trusted proxy: a plain request cannot pass as safe.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        peer, said = request.META.get("REMOTE_ADDR", ""), request.META.get("HTTP_X_FORWARDED_FOR", "")
        trusted = settings.TRUSTED_PROXIES
        if not _is_one_of(peer, trusted) and request.META.pop(PROTOCOL, "") and not trusted:
            _name_the_setting()
        request.META["REMOTE_ADDR"] = client_address(peer, said, trusted)
        return self.get_response(request)


def client_address(peer: str, forwarded_for: str, trusted: Sequence[Network]) -> str:
    """Return the last address that no trusted proxy vouches for.

    A sender may write anything to the left in ``X-Forwarded-For``. Each proxy appends, on the right, the
    address it heard from.
    """
    if not forwarded_for:
        return peer
    if not _is_one_of(peer, trusted):
        if not trusted:
            _name_the_setting()
        return peer
    address = peer
    for hop in reversed([hop.strip() for hop in forwarded_for.split(",")]):
        if not _is_address(hop):
            return address
        address = hop
        if not _is_one_of(hop, trusted):
            return address
    return address


def counted_as(address: str) -> str:
    """Return the key that an address is counted under: of IPv6 its network, which one household has whole."""
    if not _is_address(address):
        return address
    found = ip_address(address)
    if isinstance(found, IPv6Address):
        if found.ipv4_mapped:
            return str(found.ipv4_mapped)
        return str(IPv6Address(int(found) >> 64 << 64))
    return str(found)


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True


def _is_one_of(text: str, networks: Sequence[Network]) -> bool:
    return _is_address(text) and any(ip_address(text) in network for network in networks)


@cache
def _name_the_setting() -> None:
    """Log once that the proxy in front is not known: its clients count as one, and HTTPS is not seen."""
    log.warning("X-Forwarded-For and -Proto are not used: name the proxy in SHOP_TRUSTED_PROXIES")
