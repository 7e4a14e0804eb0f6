"""The glue-up screen: readable from afar, large targets, works without signal."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from jobs.web.kit.access import worker
from jobs.web.kit.calls import units_of
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
def now(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    """Show the stopwatch of a dry fit or the open time of a glue-up; 404 for other stages."""
    context = read_stage(request.user, piece, key)
    stage, units = context["stage"], units_of(request.user)
    dry = any(gate["key"] == DRY_FIT for gate in stage["gates"])
    if not dry and "gluing" not in stage["calcs"]:
        raise Http404
    gluing = _result(context, "gluing")
    form = None
    seen = None if context["says_later"] else context["piece"]["version"]  # no version for later values
    if stage["standing"] in (*OPEN_TO_START, "under way"):  # the start may still wait in the phone's queue
        form = StageForm(gates=stage["gates"], moment="finish", units=units, seen=seen)
    shown = {
        "piece": context["piece"],
        "stage": stage,
        "cautions": stage["cautions"],
        "dry": dry,
        "says_later": context["says_later"],
        "form": form,
        "allowed_s": gluing.get("allowed_s"),
        "amount": value_words("glue_ml", gluing.get("glue_ml"), units),
        "goes": gluing.get("stages", []),
        "clamp_sources": [str(_("Middle first, outward by turns: common practice, no source"))],
        "clamps": clamps_drawn(_result(context, "clamping"), _result(context, "layout")),
    }
    return render(request, "web/stages/glue_up.html", shown)


def _result(context: dict[str, Any], name: str) -> dict[str, Any]:
    return context["piece"]["computed"].get(name, {}).get("result") or {}


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
