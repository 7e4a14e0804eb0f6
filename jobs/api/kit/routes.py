"""Addresses: the keys in them, the beginnings that several share, and tables of commands."""

from collections.abc import Mapping
from typing import Any

from django.urls import URLPattern, path, register_converter
from rest_framework.permissions import BasePermission
from rest_framework.views import APIView

from jobs.api.kit.resources import Handler
from jobs.api.kit.view_bases import View

COMMISSION = "commissions/<str:commission>/"
PIECE = "pieces/<str:piece>/"
STAGE = f"{PIECE}stages/<str:stage>/"


class Key:
    """A row's key: a whole number that every database takes."""

    regex = "[0-9]{1,18}"

    def to_python(self, text: str) -> int:
        return int(text)

    def to_url(self, key: int) -> str:
        return str(key)


register_converter(Key, "key")


def view_route(address: str, name: str, view: type[APIView]) -> URLPattern:
    """Return the route of a view; the module registers the keys that its address may have."""
    found: URLPattern = path(address, view.as_view(), name=name)
    return found


def route(
    address: str, name: str, access: type[BasePermission], base: type[View] = View, **members: Any
) -> URLPattern:
    """Return the route of a view made from handlers by their methods, such as ``post=…``."""
    title = "".join(word.capitalize() for word in name.split("-"))
    view: type[View] = type(f"{title}View", (base,), {"permission_classes": (access,), **members})
    return view_route(address, name, view)


def command_routes(
    place: str,
    access: type[BasePermission],
    commands: Mapping[str, Handler],
    *,
    name: str = "{}",
    base: type[View] = View,
    **members: Any,
) -> list[URLPattern]:
    """Return a route for each command: POST to its word under ``place``; ``name`` names it by its word."""
    return [
        route(f"{place}{word}/", name.format(word), access, base, post=handler, **members)
        for word, handler in commands.items()
    ]
