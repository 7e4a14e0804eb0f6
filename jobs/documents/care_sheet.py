"""The care sheet: the air the top needs, its movement over the year, cleaning, when it bears full use."""

from typing import Any

from django.utils.translation import gettext_noop as _

from jobs.documents.kit.layout import Frozen, html_of
from jobs.documents.kit.wording import clean, day, inches, millimetres, without_marks
from jobs.domain.commissions.paper_content import care_content
from jobs.domain.papers.kinds import Step, WorkPaper, register


def care_sheet_html(frozen: Frozen) -> str:
    """Return the HTML of a care sheet from its frozen content."""
    return html_of(
        "care_sheet",
        "Care sheet",
        frozen,
        {
            "humidity": frozen["humidity"],
            "air": frozen["air"],
            "first": frozen["first"],
            "pieces": [_piece(piece) for piece in frozen["pieces"]],
            "notes": [f"{note[0].upper()}{note[1:]}." for note in _notes(frozen)],
        },
    )


def _notes(frozen: Frozen) -> list[str]:
    """Return the notes on the movement, each once."""
    lines = (line for piece in frozen["pieces"] for line in (piece["movement"] or {}).get("notes", []))
    return list(dict.fromkeys(without_marks(clean(line)) for line in lines))


def _piece(piece: Frozen) -> dict[str, Any]:
    return {
        "number": piece["number"],
        "label": clean(piece["label"]),
        "quantity": piece["quantity"],
        "wood": clean(piece["species"]),
        "finish": clean(piece["finish"]),
        "cleaning": piece["cleaning"],
        "full_use": full_use_words(piece["full_use"]),
        "movement": _movement(piece["movement"]),
    }


def full_use_words(found: Frozen) -> str:
    if found["on"]:
        return f"from {day(found['on'])}"
    if found["days"]:
        days = "1 day" if found["days"] == 1 else f"{found['days']} days"
        return f"{days} after the last coat"
    return "when the finish's own sheet says so"


def _movement(found: Frozen | None) -> dict[str, Any] | None:
    if found is None:
        return None
    rows = []
    for season, name in (("dry", "Driest, heated rooms"), ("humid", "Most humid, late summer")):
        moved = found[f"{season}_len"]
        rows.append(
            {
                "season": name,
                "air": f"{found[f'{season}_rh_pct']} %" if found[f"{season}_rh_pct"] else "",
                "wood": f"{found[f'{season}_pct']} %",
                "moved": _moved(moved),
                "wide": {
                    "inches": inches(found["width_len"] + moved),
                    "mm": millimetres(found["width_len"] + moved),
                },
            }
        )
    return {
        "rows": rows,
        "made": f"{found['made_pct']} %",
    }


def _moved(units: int) -> dict[str, str]:
    way = "wider" if units > 0 else "narrower"
    return {"inches": f"{inches(abs(units))} {way}", "mm": millimetres(abs(units))}


register(
    WorkPaper(
        key="care-sheet",
        prefix="K",
        title=_("Care sheet"),
        issue_it=_("Issue the care sheet"),
        about=_(
            "Issuing gives it a number and fixes for ever what it says: the air each piece wants, how"
            " its wood moves over the year, how it is cleaned, and from when it bears full use."
        ),
        content=care_content,
        layout=care_sheet_html,
        steps=(Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
        is_for_client=True,
        place=9,
    )
)
