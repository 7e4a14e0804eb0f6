"""Connects the task queue to Django, so that a page's ``delay`` finds the project's broker."""

from importlib import import_module

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self) -> None:
        import_module("shop.celery")
