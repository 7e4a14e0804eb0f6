"""The piece on a client's page: its picture, five steps, what is to be approved, its diary, whom to call."""

import re
from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Any

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.drawing.lines import PHONE_WIDE, Paper
from calcs.kit.units import format_length
from calcs.materials.species import OWN_WOOD
from jobs.domain.clients.approvals import approvals_of
from jobs.domain.clients.portal_wording import STEPS, day_words, sentence
from jobs.domain.overviews.client_portal_papers import MADE
from jobs.domain.pieces import care
from jobs.domain.pieces.drawing import draw_sheet
from jobs.domain.pieces.wood import thumb_of
from jobs.domain.routes.approvals import asked_of
from jobs.domain.settings import shop_unit
from jobs.domain.waits.queries import Read
from jobs.domain.waits.route import RouteState
from jobs.log.private_texts import Texts
from jobs.models import Approval, ClientQuestion, ClientUpdate, Commission, Event, Picture, Piece, Stage

Step = Commission.Step
AGREED, WOOD, MADE_STEP, FINISHED, DELIVERED = "agreed", "wood", "made", "finished", "delivered"
TITLES: dict[str, Promise] = {
    AGREED: gettext_lazy("Agreed"),
    WOOD: gettext_lazy("Wood"),
    MADE_STEP: gettext_lazy("Made"),
    FINISHED: gettext_lazy("Finished"),
    DELIVERED: gettext_lazy("Delivered"),
}
OF_WOOD, OF_DELIVERY = ("stock", "settle"), ("deliver",)
OF_FINISH = ("mark-after", "refit", "final-check", "wrap")
"""Template keys of the stages of a step, besides those of the finishing room; all others make the piece."""
FINISHING = "finishing room"
BEFORE = ("survey", "paid", "close")
"""Stages that belong to no step of the work."""
OVER = (Stage.Step.DONE, Stage.Step.SKIPPED)
TAKEN_BACK = ("acceptance_taken_back", "decline_taken_back")
AT_THE_END = (Step.DELIVERED, Step.CLOSED)
MAIL = re.compile(r"[^\s<>,;]+@[^\s<>,;]+\.[^\s<>,;.]+")
PHONE = re.compile(r"\+?[\d(][\d\s()./-]{4,}\d")
NOTED_SHOWN = 4
"""Plain notes of a day that are shown unfolded, the newest."""
MOST_SEATS = 3
"""Further pieces in the picture."""


def hero(read: Read, photo: int | None) -> dict[str, Any]:
    """Return the picture on top: a photo that was chosen for the client, else the tops as drawn."""
    drawn = [(route.piece, thumb) for route in read.routes if (thumb := thumb_of(route.piece))]
    drawn.sort(key=lambda each: -each[1]["length_len"] * each[1]["width_len"])
    tops = [
        {"piece": p.number, "look": t["look"], "version": t["version"], "label": read.texts[p.label_ref],
         "share": round(100 * t["width_len"] / t["length_len"])}
        for p, t in drawn
        for _each in range(min(p.quantity, 1 + MOST_SEATS))
    ]  # fmt: skip
    return {"photo": photo, "top": tops[0] if tops else None, "seats": tops[1 : 1 + MOST_SEATS]}


def woods(pieces: Iterable[Piece]) -> str:
    """Return the woods and finishes of pieces in words: "black walnut, hard-wax oil"."""
    said = []
    for piece in pieces:
        said += [part for part in (_wood(piece), _small(care.care_of(piece).finish)) if part]
    return ", ".join(dict.fromkeys(said))


def _small(name: str) -> str:
    """Return the name of a product as it stands within a sentence; letters that stand alone stay large."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _wood(piece: Piece) -> str:
    """Return the name of a piece's wood without the brackets of the tables."""
    return str(piece.inputs.get("species") or "").removesuffix(OWN_WOOD).partition(" (")[0].strip()


def steps(commission: Commission, read: Read, *, agreed_on: date | None, today: date) -> list[dict[str, Any]]:
    """Return the steps of a commission: done with its day, here, or ahead; none of one that is given up."""
    if commission.step in (Step.DECLINED, Step.CANCELLED):
        return []
    found, here = [], True
    for key, title in TITLES.items():
        done, on = _stands(key, commission, read, agreed_on)
        if done is None:
            continue
        is_here = here and not done
        here = here and done
        says = day_words(on, today) if done and on else ""
        if key == DELIVERED and not done and commission.promise_on:
            says = _("by %(day)s") % {"day": day_words(commission.promise_on, today)}
        found.append({"title": title, "state": "done" if done else "here" if is_here else "", "says": says})
    return found


def _stands(
    key: str, commission: Commission, read: Read, agreed_on: date | None
) -> tuple[bool | None, date | None]:
    """Return whether a step is done and since when; None for one that this commission does not have."""
    if key == AGREED:
        return commission.step in MADE, agreed_on
    stages = [s for route in read.routes for s in _of_step(route, key)]
    if key == DELIVERED:
        return commission.step in AT_THE_END, _last(stages)
    if not stages:
        return None, None
    whole = commission.step in (Step.READY, *AT_THE_END)
    done = commission.step in MADE and (whole or all(stage.step in OVER for stage in stages))
    return done, _last(stages)


def _of_step(route: RouteState, key: str) -> list[Stage]:
    return [stage for stage in route.stages if _step_of(stage.spec) == key]


def _step_of(spec: dict[str, Any]) -> str:
    """Return the step of the work that a stage belongs to; empty for one of none."""
    key = spec["template_key"]
    if key in BEFORE:
        return ""
    if key in OF_WOOD:
        return WOOD
    if key in OF_DELIVERY:
        return DELIVERED
    return FINISHED if key in OF_FINISH or spec["place"] == FINISHING else MADE_STEP


def _last(stages: list[Stage]) -> date | None:
    moments = [stage.finished_at for stage in stages if stage.finished_at]
    return timezone.localtime(max(moments)).date() if moments else None


def approvals(commission: Commission, read: Read) -> list[dict[str, Any]]:
    """Return what the client is asked to approve now: as it was shown, with its drawing or in words."""
    if commission.step in Commission.ENDED:
        return []
    routes = {route.piece.number: route for route in read.routes}
    wanted = {number: asked_of(route.piece, route.stages) for number, route in routes.items()}
    asked = [one for one in approvals_of(commission) if one["is_current"] and not one["approved_at"]]
    asked = [one for one in asked if one["what"] in wanted[one["piece"]]]
    found = []
    for one in sorted(asked, key=lambda one: (one["piece"], one["what"])):
        piece = routes[one["piece"]].piece
        label = read.texts[piece.label_ref]
        is_drawing = one["what"] == Approval.What.DRAWING
        says = _drawn_words(piece) if is_drawing else woods([piece])
        drawing = drawing_for_client(piece, label) if is_drawing else ""
        found.append({**one, "label": label, "says": says, "drawing": drawing})
    return found


def drawing_for_client(piece: Piece, label: str) -> str:
    """Return the drawing of a piece as its client sees it on a phone."""
    paper = Paper(width=PHONE_WIDE, unit=shop_unit(), compact=True)
    title = f"{label}: {_drawn_words(piece)}"
    return draw_sheet(piece.computed, piece.inputs, "client", paper=paper, title=title) or ""


def _drawn_words(piece: Piece) -> str:
    """Return the size of a piece in words, with its edge: "98 × 40 × 1 3/4", eased edge"."""
    inputs, unit = piece.inputs, shop_unit()
    sizes = [inputs.get(f"{name}_len") for name in ("length", "width", "thickness")]
    size = " × ".join(format_length(each, unit) for each in sizes if each)
    edge = _("%(edge)s edge") % {"edge": _(inputs["edge_profile"])}
    count = _("%(count)s of them") % {"count": inputs["quantity"]} if inputs.get("quantity", 1) > 1 else ""
    return ", ".join(part for part in (size, edge, count) if part)


def contacts(contact: str, email: str) -> list[dict[str, str]]:
    """Return the shop's contact line by line, each telephone number and mail address with its link."""
    found = []
    for line in contact.splitlines():
        for part in re.split(r"\s*[,;·]\s*", line.strip()):
            found += [{"says": part, "href": _link(part)}] if part else []
    if email and not any(email in each["says"] for each in found):
        found.append({"says": email, "href": f"mailto:{email}"})
    return found


def _link(part: str) -> str:
    if mail := MAIL.search(part):
        return f"mailto:{mail[0]}"
    if phone := PHONE.search(part):
        return "tel:" + re.sub(r"[^\d+]", "", phone[0])
    return ""


def moves_of(commission: Commission) -> list[Event]:
    """Return the steps that a commission took, without an answer that was taken back."""
    stream, kinds = f"commission:{commission.number}", ("commission_moved", *TAKEN_BACK)
    moves: list[Event] = []
    for event in Event.objects.filter(stream=stream, kind__in=kinds).order_by("seq"):
        if event.kind == "commission_moved":
            moves.append(event)
        else:
            moves.pop()
    return moves


def opened_diary(commission: Commission, moves: list[Event]) -> list[dict[str, Any]]:
    """Return the entries of the steps that a commission took, and of its beginning."""
    found = [
        {"at": e.occurred_at, "text": sentence(str(STEPS[e.data["to"]]))}
        for e in moves
        if e.data["to"] in STEPS
    ]
    return [{"at": commission.opened_at, "text": _("You asked us for this piece.")}, *found]


def told_diary(
    updates: list[ClientUpdate], questions: list[ClientQuestion], texts: Texts, shown: dict[int, Picture]
) -> list[dict[str, Any]]:
    """Return the entries of questions and of updates with their pictures."""
    asked = [{"at": q.asked_at, "question": texts[q.words_ref]} for q in questions]
    told = [
        {
            "at": u.told_at,
            "words": texts[u.words_ref],
            "pictures": [key for key in u.pictures if key in shown],
        }
        for u in updates
    ]
    return [*asked, *told]


def by_day(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the entries by day, newest first, with plain notes apart from updates and questions."""

    def day(entry: dict[str, Any]) -> date:
        return timezone.localtime(entry["at"]).date()

    found = []
    ordered = sorted(entries, key=lambda e: e["at"], reverse=True)
    for on, of_day in groupby(ordered, key=day):
        listed = list(of_day)
        noted = list(dict.fromkeys(e["text"] for e in reversed(listed) if "text" in e))
        found.append(
            {
                "on": on,
                "told": [e for e in listed if "words" in e or "question" in e],
                "noted": noted[-NOTED_SHOWN:],
                "folded": noted[:-NOTED_SHOWN],
            }
        )
    return found
