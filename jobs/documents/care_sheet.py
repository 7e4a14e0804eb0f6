"""The care card, a small page for each piece: how to live with it, and who made it."""

from typing import Any

from django.utils.translation import gettext_noop as _

from jobs.documents.kit.layout import Frozen, drawn, html_of
from jobs.documents.kit.sizes import Sizes
from jobs.documents.kit.wording import clean, day, number
from jobs.domain.commissions.paper_content import care_content
from jobs.domain.papers.kinds import Step, WorkPaper, register

USUAL_LIKED_PCT = (35, 55)
"""The air that cards said before it was kept with them."""
UNTIL_THEN = "Until then nothing wet or hot on it, no cloth left lying, nothing dragged across it."
MENDING = (
    "Most can be mended in an afternoon. Ask us before you sand or strip it: we know this piece and would"
    " like to help."
)


def care_sheet_html(frozen: Frozen) -> str:
    """Return the HTML of a care card from its frozen content."""
    sizes = Sizes.of(frozen)
    return html_of(
        "care_sheet",
        "Care card",
        frozen,
        {
            "cards": [_card(piece, frozen, sizes) for piece in frozen["pieces"]],
            "first": frozen["first"],
        },
    )


def _card(piece: Frozen, frozen: Frozen, sizes: Sizes) -> dict[str, Any]:
    use = f"Use it gently at first, and as you like {full_use_words(piece['full_use'])}. {UNTIL_THEN}"
    later = "When it looks dry" if piece.get("is_oiled") else "In later years"
    parts = (
        ("The first days", use),
        ("Every day", piece["cleaning"]),
        ("Summer and winter", _seasons(piece["movement"], frozen, sizes)),
        ("Underneath", _underneath(piece) if piece["movement"] else ""),
        (later, piece.get("renewing", "")),
        ("A scratch, a ring, a stain", MENDING),
    )
    count = f"{piece['quantity']} of these" if piece["quantity"] > 1 else ""
    made_of = [clean(piece["species"]), clean(piece["finish"])]
    return {
        "label": clean(piece["label"]),
        "drawing": drawn(piece["drawing"]) if piece.get("drawing") else "",
        "parts": [{"title": title, "text": text} for title, text in parts if text],
        "number": ", ".join(filter(None, (piece["number"], count))),
        "made_of": ", ".join(filter(None, made_of)).capitalize(),
        "made": _made(frozen),
    }


def _made(frozen: Frozen) -> str:
    """Return where and when it was made, as far as the paper knows."""
    city, month = clean(frozen["shop"].get("city")), day(frozen["issued_on"]).partition(" ")[2]
    return ", ".join(filter(None, (f"Made in {city}" if city else "", month)))


def full_use_words(found: Frozen) -> str:
    if found["on"]:
        return f"from {day(found['on'])}"
    if found["days"]:
        days = "1 day" if found["days"] == 1 else f"{found['days']} days"
        return f"{days} after the last coat"
    return "when the finish's own sheet says so"


def _seasons(found: Frozen | None, frozen: Frozen, sizes: Sizes) -> str:
    """Return the movement over the year and the air it likes; neither says that the other is wrong."""
    least, most = frozen.get("liked_pct") or USUAL_LIKED_PCT
    beside = "Not right beside a radiator or a stove, nor in long sun."
    if found is None:
        return f"It likes air of {least} to {most} % relative humidity best. {beside}"
    width, change = sizes.bench(found["width_len"]), sizes.bench(found["humid_len"] - found["dry_len"], "up")
    moves = (
        f"It is {width} wide as we made it, and over a year that changes by up to {change}: widest at the end"
        " of a humid summer, narrowest in a heated winter."
    )
    dry, humid = found["dry_rh_pct"], found["humid_rh_pct"]
    if not dry or not humid:
        return f"{moves} Air of {least} to {most} % relative humidity keeps it calmest. {beside}"
    swing = f"It is built for rooms that go from {number(dry)} to {number(humid)} % relative humidity"
    if float(dry) >= least and float(humid) <= most:
        return f"{moves} {swing}. {beside}"
    return f"{moves} {swing}; between {least} and {most} % it moves least. {beside}"


def _underneath(piece: Frozen) -> str:
    """Return what holds it and must be left free to slide."""
    ends = "Its ends are pegged so that the middle can slide: at times it stands a little proud of them. "
    if piece.get("has_channels"):
        holds = "Steel channels keep it flat; their outer bolts are meant to slide. Do not tighten them"
    else:
        holds = "Its fixings are slotted so that the wood can move. Snug is enough"
    return f"{ends if piece.get('has_ends') else ''}{holds}, and never glue it to its base."


register(
    WorkPaper(
        key="care-sheet",
        prefix="K",
        title=_("Care card"),
        issue_it=_("Issue the care card"),
        about=_(
            "Issuing gives it a number and fixes what it says: from when each piece bears full"
            " use, how it is cleaned and renewed, and how its wood moves over the year."
        ),
        content=care_content,
        layout=care_sheet_html,
        steps=(Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
        is_for_client=True,
        place=9,
    )
)
