"""The delivery checklist: pieces, weight and people, boxes, measurements, cautions, signatures."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.handling.lifting import carried_by
from jobs.documents.care_sheet import full_use_words
from jobs.documents.kit.layout import Frozen, commission_line, facts, html_of
from jobs.documents.kit.sizes import NBSP, Sizes, Way
from jobs.documents.kit.wording import clean, day, needs_wrap, number, percent, without_marks
from jobs.domain.commissions.checklist import checklist_content
from jobs.domain.papers.kinds import Step, WorkPaper, register
from jobs.models import Paper

NOT_COMPUTED = "not yet computed"
CAUTIONS = (("lifting", "cautions"), ("tipping", "warnings"), ("tipping", "cautions"))
"""Parts of a piece's figures that the box of cautions says; how they were figured stays with the bench."""
ALWAYS_MEASURED = {"flatness": "Out of flat, overall", "moisture_mean": "Moisture content"}
USUAL_LIKED_PCT = (35, 55)
"""The air that checklists asked for before it was kept with them [%]."""


def checklist_html(frozen: Frozen) -> str:
    """Return the HTML of a delivery checklist from its frozen content."""
    pieces, sizes = frozen["pieces"], Sizes.of(frozen)
    return html_of(
        "checklist",
        "Delivery checklist",
        frozen,
        {
            "facts": facts(
                ("Delivery", _when(frozen.get("when"))),
                ("Promised", day(frozen["commission"]["promise_on"])),
                ("Commission", commission_line(frozen)),
                ("Issued", day(frozen["issued_on"]) or "not issued"),
            ),
            "pieces": [_piece(piece, sizes) for piece in pieces],
            "caution": {**frozen["caution"], "more": _more_cautions(pieces, sizes)},
            "boxes": frozen["boxes"],
            "liked": " to ".join(str(pct) for pct in frozen.get("liked_pct") or USUAL_LIKED_PCT),
            "degrees": "°F" if sizes.unit == "in" else "°C",
            "measured": [row for piece in pieces for row in _measured(piece, sizes)],
        },
    )


def _when(planned: Frozen | None) -> str:
    return ", ".join(filter(None, (day(planned["day"]), planned["at"]))) if planned else ""


def _piece(piece: Frozen, sizes: Sizes) -> dict[str, Any]:
    label = clean(piece["label"])
    return {
        "number": piece["number"],
        "label": label,
        "wrap": needs_wrap(label),
        "quantity": piece["quantity"],
        "wood": clean(piece["species"]),
        "full_use": full_use_words(piece["full_use"]) if "full_use" in piece else "",
        "size": sizes.finished(*(piece[f"{side}_len"] for side in ("length", "width", "thickness"))),
        **_weight(piece, sizes),
        **_people(piece, sizes),
        "way_in": _way_in(piece.get("access"), sizes),
    }


def _weight(piece: Frozen, sizes: Sizes) -> dict[str, str]:
    weight = piece["weight"]
    if weight is None:
        return {"weight": NOT_COMPUTED, "weight_under": "weigh it before lifting"}
    each = _mass(weight, "each", sizes, ROUND_CEILING)
    if piece["quantity"] == 1:
        return {"weight": each, "weight_under": ""}
    return {"weight": each, "weight_under": f"all {_mass(weight, 'all', sizes, ROUND_CEILING)}"}


def _mass(found: Frozen, name: str, sizes: Sizes, rounding: str) -> str:
    """Return a weight or a limit in whole pounds or kilograms, as the calculation gave it in that unit."""
    unit = "lb" if sizes.unit == "in" else "kg"
    return f"{Decimal(found[f'{name}_{unit}']).to_integral_value(rounding):,}{NBSP}{unit}"


def _people(piece: Frozen, sizes: Sizes) -> dict[str, str]:
    lifting = piece["lifting"]
    if lifting is None:
        return {"people": NOT_COMPUTED, "people_under": ""}
    most = _mass(lifting, "team_limit", sizes, ROUND_FLOOR)
    who = carried_by(lifting["people"]).capitalize()
    if lifting["people"] is None:
        return {"people": who, "people_under": f"three people may lift {most}"}
    return {"people": who, "people_under": f"up to {most}"}


def _way_in(access: Frozen | None, sizes: Sizes) -> list[str]:
    """Return place by place how the piece goes in, and with how much room; papers of earlier have none."""
    return [
        f"{place['name']}: {place['how']}, {_room(place, sizes)}"
        for place in (access or {}).get("passages", [])
        if place["fits"] or "not needed" not in place["how"]
    ]


def _room(place: Frozen, sizes: Sizes) -> str:
    way: Way = "down" if place["fits"] else "up"
    size = sizes.bench(abs(place["spare_len"]), way)
    return f"{size} to spare" if place["fits"] else f"DOES NOT FIT, short by {size}"


def _more_cautions(pieces: list[Frozen], sizes: Sizes) -> list[str]:
    """Return what is to be heeded with these lifts and bases, each once."""
    said = [
        sizes.text(without_marks(line))
        for piece in pieces
        for name, key in CAUTIONS
        for line in (piece.get(name) or {}).get(key, [])
    ]
    return [f"{line[0].upper()}{line[1:]}." for line in dict.fromkeys(said)]


def _measured(piece: Frozen, sizes: Sizes) -> list[dict[str, str]]:
    """Return the last measurements with room for new ones; of several pieces the worst is written down."""
    found = {m["key"]: m for m in piece["measured"] if "yes" not in m}
    titles = ALWAYS_MEASURED | {key: clean(m["title"]) for key, m in found.items()}
    worst = "" if piece["quantity"] == 1 else f", worst of {piece['quantity']}"
    limits = piece.get("limits", {})
    return [
        {
            "piece": piece["number"],
            "what": f"{title}{worst}",
            "allowed": _allowed(limits.get(key), sizes),
            "value": _value(found.get(key), sizes),
        }
        for key, title in titles.items()
    ]


def _allowed(limits: Frozen | None, sizes: Sizes) -> str:
    """Return what a measurement may be, in the unit of the paper."""
    if limits is None:
        return ""
    least, most = (None if limits[word] is None else Decimal(limits[word]) for word in ("least", "most"))
    if limits["unit"] == "length":
        told = [
            sizes.joint(int(least), "up") if least else "",
            sizes.joint(int(most), "down") if most else "",
        ]
    else:
        told = [number(each) if each else "" for each in (least, most)]
    span = " to ".join(filter(None, told)) if all(told) else f"up to {told[1]}" if told[1] else told[0]
    return f"{span} %" if span and limits["unit"] == "percent" else span


def _value(measured: Frozen | None, sizes: Sizes) -> str:
    if measured is None:
        return "not measured"
    if "len" in measured:
        return sizes.joint(measured["len"])
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
            "Issuing gives it a number and fixes what it says: the pieces, their weight, how"
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
