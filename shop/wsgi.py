"""The WSGI application behind ``shop.asgi``."""

import importlib
import os
import sys

from django.conf import settings
from django.core.wsgi import get_wsgi_application

UNUSED = ("requests", "pygments", "markdown")
"""Libraries that REST framework loads where it finds them, for clients and pages that are not served here."""


def load_rest_framework() -> None:
    """Load REST framework without the libraries it finds and does not need, some 20 MB of each web process.

    Only this import misses them; what needs one of them later loads it as usual.
    """
    engine = str(settings.DATABASES["default"]["ENGINE"])
    names = (*UNUSED, "psycopg") if engine.endswith("sqlite3") else UNUSED
    hidden = [name for name in names if name not in sys.modules]
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type] # None makes an import fail
    try:
        importlib.import_module("rest_framework.compat")
    finally:
        for name in hidden:
            del sys.modules[name]


os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
application = get_wsgi_application()
load_rest_framework()
