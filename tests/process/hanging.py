"""The service's worker with a short limit, a task that ends and one that hangs as the worst could."""

import os
from pathlib import Path

from django.conf import settings

settings.CELERY_TASK_TIME_LIMIT = float(os.environ["LIMIT_S"])

from shop.celery import app  # noqa: E402  (it reads the limit)


@app.task
def note() -> None:
    Path(settings.DATA_DIR, "noted").touch()


@app.task
def hang() -> None:
    """Keep the interpreter's lock, so that no other thread of this process runs."""
    pow(7, 10**8)
