"""What every paper shares: letterhead, client, commission, and the template."""

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string

from jobs.documents.wording import clean, day

Frozen = Mapping[str, Any]


def html_of(template: str, title: str, frozen: Frozen, content: Mapping[str, Any]) -> str:
    """The paper as HTML; every text in it is escaped by the template."""
    commission = frozen["commission"]
    return render_to_string(
        f"papers/{template}.html",
        {
            "title": title,
            "draft": not frozen["number"],
            "paper_number": frozen["number"],
            "issued_iso": frozen["issued_on"] or "",
            "issued_on": day(frozen["issued_on"]),
            "shop": {name: clean(text) for name, text in frozen["shop"].items()},
            "client": {name: clean(text) for name, text in frozen["client"].items()},
            "commission": {"number": commission["number"], "title": clean(commission["title"])},
            "promise_on": day(commission["promise_on"]),
            **content,
        },
    )
