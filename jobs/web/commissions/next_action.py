"""The next actions of a commission: one main button, then the others."""

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.domain.overviews import office
from jobs.domain.quoting import next_step
from jobs.domain.settings import settings
from jobs.domain.waits.route import ONCE, awaits_quote
from jobs.models import Commission, Paper
from jobs.web.kit.stored_translations import translate_stored

Words = dict[str, Any]
Action = Words
OFFICE = {
    office.ADD: ("add-piece", ""),
    office.WRITE: ("new-quote", ""),
    next_step.SEND: ("send-offer", "offer"),
    next_step.AGAIN: ("follow-up", "offer"),
    next_step.LAPSED: ("let-go", "offer"),
    office.AGREE: ("agree-delivery", ""),
    office.ACCEPT: ("accept-order", ""),
    office.SEND_DEPOSIT: ("send-paper", "paper"),
    office.TAKE_DEPOSIT: ("payment", ""),
    office.INVOICE: ("invoice", ""),
    office.SEND_INVOICE: ("send-paper", "paper"),
    office.REMIND: ("remind", "paper"),
    office.PAYMENT: ("payment", ""),
}
"""The page of each office action, and what it is the page of: a quote, a paper, else the commission."""


def actions(view: dict[str, Any], *, is_owner: bool) -> list[Action]:
    """Return the office's actions, then the stages that can be worked, those under way first.

    While a quote is with the client nothing is begun from here. A deposit is waited for: it comes last, and
    the stage that buys the wood waits with it.
    """
    stages = [(p, s) for p in view["pieces"] for s in p["stages"] if is_owner or not s["owner_only"]]
    if any(step["do"] in office.MONEY for step in view["office"]):
        stages = [(p, s) for p, s in stages if not _asks(s, "paid-up", "finish")]
    if _waits_for_deposit(view):
        stages = [(p, s) for p, s in stages if not _asks(s, "deposit-received", "start")]
    under_way = [(p, s) for p, s in stages if s["standing"] == "under way" and not s["passive"]]
    is_out = any(step["do"] == next_step.WAIT for step in view["office"])
    awaits = is_out or awaits_quote(view["step"])
    ready = [(p, s) for p, s in stages if s["standing"] == "ready" and not awaits]
    by_hand = [
        _start(view, p, s) if s["standing"] == "ready" else _finish(view, p, s)
        for p, s in _once([*under_way, *ready])
    ]
    comes = [step for step in view["office"] if step["do"] == office.TAKE_DEPOSIT]
    first = [step for step in view["office"] if step not in comes]
    return _office(view, first) + by_hand + _first_piece(view) + _office(view, comes)


def _waits_for_deposit(view: Words) -> bool:
    """Return whether the shop waits for a deposit before it buys the wood."""
    summary = view.get("money", {}).get("summary", {})
    return bool(settings()["deposit_before_wood"] == "yes" and summary.get("deposit_open"))


def _once(found: list[tuple[Words, Words]]) -> list[tuple[Words, Words]]:
    """Return the stages; one for the whole commission only where it comes first."""
    first: dict[tuple[str, str], tuple[Words, Words]] = {}
    for piece, stage in found:
        number = "" if stage["once_per"] == ONCE else piece["number"]
        first.setdefault((number, stage["key"]), (piece, stage))
    return list(first.values())


def _about(view: Words, piece: Words, stage: Words) -> str:
    """Return the name of what a stage works on: the piece, or the whole commission."""
    whole = stage["once_per"] == ONCE and len(view["pieces"]) > 1
    return _("the whole commission") if whole else str(piece["label"])


def _start(view: dict[str, Any], piece: dict[str, Any], stage: dict[str, Any]) -> Action:
    if _asks(stage, "checklist-issued", "start") and not _holds(view, Paper.CHECKLIST):
        return _action(
            _("Issue the delivery checklist"),
            reverse("web:issue-paper", kwargs={"number": view["number"], "kind": Paper.CHECKLIST}),
            _("before %(title)s") % {"title": stage["title"]},
        )
    return _action(stage["do"], _stage_url(piece, stage), _about(view, piece, stage), verb=_("Start"))


def _finish(view: dict[str, Any], piece: dict[str, Any], stage: dict[str, Any]) -> Action:
    if _asks(stage, "paid-up", "finish"):
        if not _holds(view, Paper.INVOICE):
            return _action(
                translate_stored(office.INVOICE),
                _on(view, "invoice"),
                _("before %(title)s") % {"title": stage["title"]},
            )
        if view.get("money", {}).get("summary", {}).get("open"):
            return _action(
                translate_stored(office.PAYMENT),
                _on(view, "payment"),
                _("before %(title)s") % {"title": stage["title"]},
            )
    return _action(
        stage["do"],
        _stage_url(piece, stage),
        _about(view, piece, stage),
        verb=_("Resume") if stage["paused"] else _("Finish"),
        since=stage["started_at"],
    )


def _office(view: Words, steps: list[Words]) -> list[Action]:
    about = translate_stored(view["step"])
    return [
        _action(
            translate_stored(step["do"]),
            office_url(step, view["number"]),
            step["offer"] or step["paper"] or about,
        )
        for step in steps
        if step["do"] != next_step.WAIT
    ]


def office_url(step: Words, commission: str) -> str:
    """Return the page of an office action on a commission."""
    name, of = OFFICE[step["do"]]
    return reverse(f"web:{name}", args=[step[of] if of else commission])


def _first_piece(view: dict[str, Any]) -> list[Action]:
    if view["office"] or view["pieces"] or view["step"] in Commission.ENDED:
        return []
    return [_action(_("Add the piece"), _on(view, "add-piece"), _("nothing to make yet"))]


def _asks(stage: dict[str, Any], rule: str, moment: str) -> bool:
    return any(g.get("rule") == rule and g["at"] == moment for g in stage["gates"])


def _holds(view: dict[str, Any], kind: str) -> bool:
    held = [p for p in view["papers"] if p["standing"] not in ("withdrawn", "credited") and not p["what"]]
    return any(p["kind"] == kind for p in held)


def _on(view: dict[str, Any], name: str, *more: str) -> str:
    return reverse(f"web:{name}", args=[view["number"], *more])


def _stage_url(piece: dict[str, Any], stage: dict[str, Any]) -> str:
    return reverse("web:stage", args=[piece["number"], stage["key"]])


def _action(says: str, url: str, about: str, *, verb: str = "", since: Any = None) -> Action:
    return {"says": says, "url": url, "about": about, "verb": verb, "since": since}
