"""The glue-up screen: readable from afar, large targets, works without signal."""

from decimal import Decimal
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from jobs.domain.stages.glue_today import GlueToday
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.pieces.figure_formatting import value_words
from jobs.web.stages.stage_context import OPEN_TO_START, read_stage
from jobs.web.stages.stage_form import StageForm

DRY_FIT = "dry_fit_time"
WIDE, HIGH, MARK = 1000, 260, 26
"""The drawing of the clamps: its size and the radius of a number."""
ORDER_TOLD = _(
    "Clamps numbered in the order they are tightened, from the middle outward;"
    " numbers on top stand for clamps above, at the foot for clamps below"
)


@worker
@require_safe
def now(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Show the stopwatch of a dry fit or the open time of a glue-up; 404 for other stages."""
    context = read_stage(request.user, piece, key)
    stage, units = context["stage"], units_of(request.user)
    dry = any(gate["key"] == DRY_FIT for gate in stage["gates"])
    if not dry and "gluing" not in stage["calcs"]:
        raise Http404
    gluing = _result(context, "gluing")
    ahead = stage["standing"] in (*OPEN_TO_START, "under way")  # the start may wait in the phone's queue
    today: GlueToday = context["glue_now"]() if ahead else GlueToday(result=gluing)
    goes = _goes(gluing, stage["clamping"])
    form = None
    seen = None if context["says_later"] else context["piece"]["version"]  # no version for later values
    if ahead:
        form = StageForm(gates=stage["gates"], moment="finish", units=units, seen=seen)
    shown = {
        "piece": context["piece"],
        "stage": stage,
        "cautions": stage["cautions"],
        "dry": dry,
        "says_later": context["says_later"],
        "form": form,
        "allowed_s": today.result.get("allowed_s"),
        "air": today.air,
        "amount": value_words("glue_ml", _amount(gluing, goes), units),
        "goes": goes,
        "clamp_sources": [str(_("Middle first, outward by turns: common practice, no source"))],
        "clamps": clamps_drawn(
            _result(context, "clamping"), _joined(_result(context, "layout"), stage["clamping"])
        ),
    }
    return render(request, "web/stages/glue_up.html", shown)


def _result(context: dict[str, Any], name: str) -> dict[str, Any]:
    return context["piece"]["computed"].get(name, {}).get("result") or {}


def _goes(gluing: dict[str, Any], clamping: dict[str, Any] | None) -> list[dict[str, Any]]:
    """Return what is spread and closed on this screen: the joints of this clamping, else of all."""
    goes: list[dict[str, Any]] = gluing.get("stages", [])
    return [go for go in goes if clamping and go["makes"] == clamping["makes"]] or goes


def _amount(gluing: dict[str, Any], goes: list[dict[str, Any]]) -> str | None:
    """Return the glue of these joints [mL]; None where it is not computed."""
    if len(goes) == len(gluing.get("stages", [])):
        return gluing.get("glue_ml")
    return str(sum(Decimal(go["glue_ml"]) for go in goes))


def _joined(layout: dict[str, Any], clamping: dict[str, Any] | None) -> dict[str, Any]:
    """Return the layout of what one clamping joins: each part of it as one strip."""
    strips = {strip["label"]: strip for strip in layout.get("strips", [])}
    ends = [tuple(part.split("-")) for part in clamping["joins"]] if clamping else []
    if not ends or not {label for end in ends for label in end} <= strips.keys():
        return layout
    firsts = [strips[end[0]] for end in ends]
    last = strips[ends[-1][-1]]
    begin = firsts[0]["left_len"]
    return {
        **layout,
        "sum_len": last["left_len"] + last["width_len"] - begin,
        "strips": [{**strip, "left_len": strip["left_len"] - begin} for strip in firsts],
    }


def from_the_middle(count: int) -> list[int]:
    """Return the order in which to tighten clamps, middle first, then alternately outward.

    Common practice, without a source.

    Examples
    --------
    >>> from_the_middle(5)
    [2, 3, 1, 4, 0]
    """
    middle = (count - 1) / 2
    return sorted(range(count), key=lambda n: (abs(n - middle), -n))


def clamps_drawn(clamping: dict[str, Any], layout: dict[str, Any]) -> SafeString | None:
    """Return the panel from above, to scale along its length, each clamp with its place in the order."""
    places, long = clamping.get("places"), layout.get("blank_len")
    if not places or not long:
        return None
    order = {n: place for place, n in enumerate(from_the_middle(len(places)), start=1)}
    across = layout.get("sum_len") or 1
    joints = [strip["left_len"] * (HIGH - 80) / across + 40 for strip in layout["strips"][1:]]
    lines = format_html_join("", '<path d="M0 {}H{}" class="joint"/>', ((f"{y:.0f}", WIDE) for y in joints))
    marks = format_html_join(
        "",
        '<g class="clamp {0}"><path d="M{1} 14V{2}"/><circle cx="{1}" cy="{3}" r="{4}"/>'
        '<text x="{1}" y="{5}">{6}</text></g>',
        (
            (
                place["side"],
                f"{MARK + place['at_len'] * (WIDE - 2 * MARK) / long:.0f}",
                HIGH - 14,
                30 if place["side"] == "above" else HIGH - 30,
                MARK,
                (30 if place["side"] == "above" else HIGH - 30) + 10,
                order[n],
            )
            for n, place in enumerate(places)
        ),
    )
    return format_html(
        '<svg viewBox="0 0 {} {}" role="img" aria-label="{}">'
        '<rect x="0" y="40" width="{}" height="{}" class="board"/>{}{}</svg>',
        WIDE, HIGH, ORDER_TOLD, WIDE, HIGH - 80, lines, marks,
    )  # fmt: skip
