"""The address that a request is counted by."""

from ipaddress import ip_network
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from shop.env import BadSetting, networks
from shop.proxies import ClientAddress, client_address, counted_as

PROXIES = [ip_network("10.0.0.0/8"), ip_network("fd00::/8")]


@pytest.mark.parametrize(
    "peer, said, address",
    [
        ("203.0.113.5", "", "203.0.113.5"),
        ("203.0.113.5", "198.51.100.7", "203.0.113.5"),  # the peer is no trusted proxy
        ("10.0.0.1", "198.51.100.7", "198.51.100.7"),
        ("10.0.0.1", "192.0.2.1, 198.51.100.7", "198.51.100.7"),  # the left part may be made up
        ("10.0.0.1", "198.51.100.7, 10.0.0.2", "198.51.100.7"),
        ("fd00::1", "2001:db8::7", "2001:db8::7"),
        ("10.0.0.1", "nonsense", "10.0.0.1"),
        ("10.0.0.1", "198.51.100.7, nonsense", "10.0.0.1"),
        ("10.0.0.1", "10.0.0.3", "10.0.0.3"),
        ("", "198.51.100.7", ""),
    ],
)
def test_the_last_address_that_no_trusted_proxy_vouches_for(peer: str, said: str, address: str):
    assert client_address(peer, said, PROXIES) == address


def test_without_trusted_proxies_nothing_is_believed():
    assert client_address("10.0.0.1", "198.51.100.7", []) == "10.0.0.1"


@pytest.mark.parametrize(
    "address, counted",
    [
        ("203.0.113.5", "203.0.113.5"),
        ("::ffff:203.0.113.5", "203.0.113.5"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::"),
        ("2001:db8:1:2:ffff::9", "2001:db8:1:2::"),
        ("unix", "unix"),
    ],
)
def test_an_ipv6_network_counts_as_one(address: str, counted: str):
    assert counted_as(address) == counted


def test_networks_of_the_environment():
    assert networks({"P": "127.0.0.1, 10.0.0.0/8"}, "P") == [
        ip_network("127.0.0.1"),
        ip_network("10.0.0.0/8"),
    ]
    assert networks({}, "P") == []
    with pytest.raises(BadSetting, match=r"P: '10.0.0.1/8' is not an address or a network"):
        networks({"P": "10.0.0.1/8"}, "P")


@pytest.mark.parametrize(
    "peer, said, secure",
    [
        ("10.0.0.1", "https", True),
        ("10.0.0.1", "http", False),
        ("10.0.0.1", "", False),
        ("203.0.113.5", "https", False),  # the peer is no proxy of ours
        ("", "https", False),
    ],
)
def test_only_a_trusted_proxy_tells_that_a_request_came_by_https(
    settings: Any, peer: str, said: str, secure: bool
):
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    settings.TRUSTED_PROXIES = PROXIES
    seen: list[bool] = []

    def view(request: HttpRequest) -> HttpResponse:
        seen.append(request.is_secure())
        return HttpResponse()

    ClientAddress(view)(RequestFactory().get("/", REMOTE_ADDR=peer, HTTP_X_FORWARDED_PROTO=said))
    assert seen == [secure]


def test_it_is_the_first_to_look_at_a_request(settings: Any):
    assert settings.MIDDLEWARE[0] == "shop.proxies.ClientAddress"
