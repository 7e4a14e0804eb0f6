"""The delivery checklist: pieces, weight and people, boxes, measurements, cautions, signatures."""

from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.handling.lifting import carried_by
from jobs.documents.care_sheet import full_use_words
from jobs.documents.kit.layout import Frozen, html_of
from jobs.documents.kit.wording import clean, inches, millimetres, needs_wrap, percent, without_marks
from jobs.domain.commissions.checklist import checklist_content
from jobs.domain.papers.kinds import Step, WorkPaper, register
from jobs.models import Paper

NOT_COMPUTED = "not yet computed"
CAUTIONS = (
    ("weight", "notes"), ("lifting", "notes"), ("lifting", "cautions"), ("tipping", "warnings"),
    ("tipping", "cautions"),
)  # fmt: skip
"""Parts of a piece's figures that the box of cautions says."""
ALWAYS_MEASURED = {"flatness": "Out of flat, overall", "moisture_mean": "Moisture content"}


def checklist_html(frozen: Frozen) -> str:
    """Return the HTML of a delivery checklist from its frozen content."""
    pieces = frozen["pieces"]
    return html_of(
        "checklist",
        "Delivery checklist",
        frozen,
        {
            "pieces": [_piece(piece) for piece in pieces],
            "caution": {**frozen["caution"], "more": _more_cautions(pieces)},
            "boxes": frozen["boxes"],
            "measured": [row for piece in pieces for row in _measured(piece)],
        },
    )


def _piece(piece: Frozen) -> dict[str, Any]:
    label = clean(piece["label"])
    return {
        "number": piece["number"],
        "label": label,
        "wrap": needs_wrap(label),
        "quantity": piece["quantity"],
        "wood": clean(piece["species"]),
        "full_use": full_use_words(piece["full_use"]) if "full_use" in piece else "",
        "sizes": [
            {"inches": inches(piece[f"{side}_len"]) or "-", "mm": millimetres(piece[f"{side}_len"])}
            for side in ("length", "width", "thickness")
        ],
        **_weight(piece),
        **_people(piece),
        "way_in": _way_in(piece.get("access")),
    }


def _weight(piece: Frozen) -> dict[str, str]:
    weight = piece["weight"]
    if weight is None:
        return {"weight": NOT_COMPUTED, "weight_under": "weigh it before lifting"}
    both = f"{weight['each_lb']} lb ({weight['each_kg']} kg)"
    if piece["quantity"] == 1:
        return {"weight": both, "weight_under": ""}
    return {"weight": both, "weight_under": f"all {weight['all_lb']} lb ({weight['all_kg']} kg)"}


def _people(piece: Frozen) -> dict[str, str]:
    lifting = piece["lifting"]
    if lifting is None:
        return {"people": NOT_COMPUTED, "people_under": ""}
    most = f"{lifting['team_limit_lb']} lb ({lifting['team_limit_kg']} kg)"
    who = carried_by(lifting["people"]).capitalize()
    if lifting["people"] is None:
        return {"people": who, "people_under": f"three people may lift {most}"}
    return {"people": who, "people_under": f"up to {most}"}


def _way_in(access: Frozen | None) -> list[str]:
    """Return place by place how the piece goes in, and with how much room; papers of earlier have none."""
    return [
        f"{place['name']}: {place['how']}, {_room(place)}"
        for place in (access or {}).get("passages", [])
        if place["fits"] or "not needed" not in place["how"]
    ]


def _room(place: Frozen) -> str:
    size = f"{inches(abs(place['spare_len']))} ({millimetres(abs(place['spare_len']))})"
    return f"{size} to spare" if place["fits"] else f"DOES NOT FIT, short by {size}"


def _more_cautions(pieces: list[Frozen]) -> list[str]:
    """Return what the weights, lifts and bases of these pieces do not cover, each once."""
    said = [
        line
        for piece in pieces
        for name, key in CAUTIONS
        for line in map(without_marks, (piece.get(name) or {}).get(key, []))
    ]
    return [f"{line[0].upper()}{line[1:]}." for line in dict.fromkeys(said)]


def _measured(piece: Frozen) -> list[dict[str, str]]:
    """Return the last measurements with room for new ones; of several pieces the worst is written down."""
    found = {m["key"]: m for m in piece["measured"] if "yes" not in m}
    titles = ALWAYS_MEASURED | {key: clean(m["title"]) for key, m in found.items()}
    worst = "" if piece["quantity"] == 1 else f", worst of {piece['quantity']}"
    return [
        {"piece": piece["number"], "what": f"{title}{worst}", "value": _value(found.get(key))}
        for key, title in titles.items()
    ]


def _value(measured: Frozen | None) -> str:
    if measured is None:
        return "not measured"
    if "len" in measured:
        return f"{inches(measured['len'])} ({millimetres(measured['len'])})"
    if "pct" in measured:
        return percent(measured["pct"])
    return clean(str(measured.get("typed") or measured.get("code") or measured.get("n")))


register(
    WorkPaper(
        key=Paper.CHECKLIST,
        prefix="D",
        title=_("Delivery checklist"),
        issue_it=_("Issue the delivery checklist"),
        about=_(
            "Issuing gives it a number and fixes for ever what it says: the pieces, their weight, how"
            " many people lift, and what was measured last."
        ),
        address="checklist",
        content=checklist_content,
        layout=checklist_html,
        steps=(Step.IN_SHOP, Step.READY),
        without_piece="there is nothing to deliver",
        shows_sizes=True,
        rests_on_pieces=True,
        place=1,
    )
)
