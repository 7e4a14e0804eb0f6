"""The job sheet: for each piece the cuts, slots, glue, clamps, coats, lifts and boxes to tick."""

from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.asking.figure_wording import format_source
from jobs.documents.job_sheet_cells import Figures, both_units_of, sentence, sentences
from jobs.documents.job_sheet_sections import LAYOUTS
from jobs.documents.kit.layout import Frozen, drawn, html_of
from jobs.documents.kit.qr import code
from jobs.documents.kit.wording import clean, without_marks
from jobs.documents.titled_section import titled
from jobs.domain.commissions.job_sheet import NOT_FIGURED
from jobs.domain.commissions.paper_content import job_sheet_content
from jobs.domain.papers.kinds import Step, WorkPaper, register
from jobs.domain.pieces.calculations import CALCULATIONS, PieceCalculation


def job_sheet_html(frozen: Frozen) -> str:
    """Return the HTML of a job sheet from its frozen content; each piece starts a page."""
    return html_of(
        "job_sheet",
        "Job sheet",
        frozen,
        {
            "sheets": [_sheet(sheet) for sheet in frozen["sheets"]],
            "first": frozen["first"],
            "sources": _sources(frozen["sheets"]),
        },
    )


def _sheet(sheet: Figures) -> dict[str, Any]:
    sections = [
        {
            **made,
            "notes": sentences(sheet[one.sheet]["notes"]),
            "draw_after": one.name == "layout",
        }
        for one in _on_sheets([sheet])
        if (made := _section(sheet[one.sheet], one))
    ]
    return {
        "number": sheet["piece"],
        "label": clean(sheet["label"]),
        "quantity": sheet["quantity"],
        "revision": sheet["revision"],
        "size": " × ".join(both_units_of(sheet[f"{side}_len"]) for side in ("length", "width", "thickness")),
        "about": [
            {"name": name, "text": clean(text)}
            for name, text in (
                ("Wood", sheet["species"]),
                ("Edge", sheet["edge_profile"]),
                ("Joints", sheet["joinery"]),
                ("Glue and finish", ", ".join(sheet["products"])),
            )
            if text
        ],
        "drawing": drawn(sheet["drawing"]),
        "code": code(sheet["next"], says=f"Code to scan: what is to be done next on {sheet['piece']}"),
        "next": sheet["next"],
        "sections": sections,
        "checklist": [
            {
                "title": clean(t["title"]),
                "checks": t["checks"],
                "notes": t["notes"],
                "waits": not t["needs_hands"],
            }
            for t in sheet["checklist"]
        ],
        "warnings": sentences(sheet["warnings"]),
        "cautions": [{**c, "text": sentence(without_marks(c["text"]))} for c in sheet["cautions"]],
    }


def _on_sheets(sheets: list[Figures]) -> list[PieceCalculation]:
    """Return the calculations with a place on the sheets; one frozen before a calculation came lacks it."""
    return [one for one in CALCULATIONS.values() if one.sheet and all(one.sheet in sheet for sheet in sheets)]


def _section(kept: Figures, of: PieceCalculation) -> dict[str, Any] | None:
    """Return a section, or why it has no figures; None for what does not apply to this piece."""
    if kept["figures"] is None:
        if kept["why"] == NOT_FIGURED:
            return None
        return {"title": of.heading, "lines": [{"name": "", "text": sentence(kept["why"])}], "tables": []}
    lay = LAYOUTS.get(of.name)
    made = lay(kept["figures"]) if lay else titled(of.figures, kept["figures"])
    lines = [{"name": n, "text": t} for n, t in made.get("lines", []) if t]
    return {"title": of.heading, "lines": lines, "tables": [t for t in made.get("tables", []) if t["rows"]]}


def _sources(sheets: list[Figures]) -> list[dict[str, str]]:
    """Return the sources of each section once, for all pieces."""
    found = []
    for one in _on_sheets(sheets):
        told_once = dict.fromkeys(format_source(s) for sheet in sheets for s in sheet[one.sheet]["source"])
        if told_once:
            found.append({"title": one.heading, "text": "; ".join(told_once)})
    cautions = [caution for sheet in sheets for caution in sheet["cautions"] if caution["source"]]
    if cautions:
        told_once = dict.fromkeys(f"{caution['title']}: {caution['source']}" for caution in cautions)
        found.append({"title": "Cautions", "text": "; ".join(told_once)})
    return found


register(
    WorkPaper(
        key="job-sheet",
        prefix="J",
        title=_("Job sheet"),
        issue_it=_("Issue the job sheet"),
        says="Issue the job sheet: a sheet for each piece, as it is figured now.",
        about=_(
            "Issuing gives it a number and fixes for ever what it says: for each piece the drawing, rip"
            " list, slots, clamps, glue and coats with their times, lifts, checklist and cautions. The code"
            " on it leads to what is to be done next. When a piece is changed, withdraw it and issue a new"
            " one."
        ),
        content=job_sheet_content,
        layout=job_sheet_html,
        steps=(Step.ACCEPTED, Step.IN_SHOP, Step.READY),
        outdated_by=("piece_added", "piece_changed", "piece_removed", "route_changed", "stage_redone"),
        place=8,
    )
)
