"""What to watch on a commission, as lines: what may not have set, what to heed, a client without news."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.settings import settings
from jobs.models import Commission

Words = dict[str, Any]
TOLD_OF = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP, Commission.Step.READY)
"""Steps in which a client waits for news."""


def to_watch(view: Words, told_at: datetime | None, now: datetime) -> list[Words]:
    """Return a line for each thing to watch: its words, where to see to it, an icon. The worst come first."""
    pieces = view["pieces"] if view["has_work_ahead"] else []
    lines = [line for piece in pieces for line in _of_piece(piece)]
    unset = [
        _line(
            _("%(wait)s may not have set: test it or redo it") % {"wait": wait["title"]},
            reverse("web:end-wait", args=[wait["id"]]), "bell",
        )
        for piece in view["pieces"] for wait in piece["waits"] if wait["suspect"]
    ]  # fmt: skip
    return [*unset, *_silence(view, told_at, now), *lines]


def _of_piece(piece: Words) -> Iterator[Words]:
    for warning in piece["warnings"]:
        yield _line(warning["says"], reverse("web:stage", args=[piece["number"], warning["stage"]]), "bell")
    for calc in piece["heed"]:
        url = f"{reverse('web:piece-figures', args=[piece['number']])}?of={calc['key']}"
        if calc.get("refused"):
            says = _("%(figure)s cannot be worked out: %(why)s")
            yield _line(says % {"figure": calc["title"], "why": calc["refused"]}, url, "stop")
        for warning in calc.get("warnings", ()):
            yield _line(f"{calc['title']}: {warning}", url, "eyes")


def _silence(view: Words, told_at: datetime | None, now: datetime) -> Iterator[Words]:
    """Yield a line where the client has heard nothing for as long as the reminder allows."""
    usual = int(settings()["tell_client_days"] or 0)
    most = usual if view["tell_days"] is None else view["tell_days"]
    if view["step"] not in TOLD_OF or not most:
        return
    since = timezone.localtime(told_at or view["step_at"]).date()
    days = (timezone.localtime(now).date() - since).days
    if days >= most:
        says = ngettext(
            "No news for the client for %(days)s day", "No news for the client for %(days)s days", days
        )
        yield _line(says % {"days": days}, reverse("web:tell", args=[view["number"]]), "mail")


def _line(says: str, url: str, icon: str) -> Words:
    return {"says": says, "url": url, "icon": icon}
