"""The job sheet: for each piece one page to cut by and one to glue, finish and check by."""

from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.asking.figure_wording import format_source
from jobs.documents import job_sheet_front as front
from jobs.documents import job_sheet_work as bench
from jobs.documents.job_sheet_cells import Block, sentence, sentences
from jobs.documents.job_sheet_checks import checks
from jobs.documents.job_sheet_results import Results, Sheet
from jobs.documents.job_sheet_room import lay_out
from jobs.documents.kit.layout import Frozen, html_of
from jobs.documents.kit.qr import code
from jobs.documents.kit.sizes import Sizes
from jobs.documents.kit.wording import clean, without_marks
from jobs.domain.commissions.paper_content import job_sheet_content
from jobs.domain.papers.kinds import Step, WorkPaper, register
from jobs.domain.pieces.calculations import CALCULATIONS

COLUMNS = 3
END_OF_LINE = 25
"""Letters that the end of a paragraph leaves empty, about half a line of a column."""


def job_sheet_html(frozen: Frozen) -> str:
    """Return the HTML of a job sheet from its frozen content.

    A piece takes two pages, and a third where its drawings need the room; sources follow where asked.
    """
    sizes = Sizes.of(frozen)
    return html_of(
        "job_sheet",
        "Job sheet",
        frozen,
        {
            "sheets": [_sheet(sheet, sizes) for sheet in frozen["sheets"]],
            "first": frozen["first"],
            "sources": _sources(frozen["sheets"], sizes) if frozen.get("with_sources") else [],
        },
    )


def _sheet(sheet: Sheet, sizes: Sizes) -> dict[str, Any]:
    results, bare = Results.of(sheet), sizes.bare
    made = {
        "number": sheet["piece"],
        "label": clean(sheet["label"]),
        "revision": sheet["revision"],
        "size": sizes.finished(*(sheet[f"{side}_len"] for side in ("length", "width", "thickness"))),
        "about": front.about(sheet, results),
        "facts": front.facts(sheet, results, bare),
        "drawing": sheet["drawing"],
        "more_drawings": sheet.get("more_drawings", []),
        "code": code(sheet["next"], says=f"Code to scan: what is to be done next on {sheet['piece']}"),
        "next": sheet["next"],
        "cut": front.cut_list(sheet, results, bare),
        "slots": front.slots(sheet, results, bare),
        "sessions": bench.sessions(sheet, results, bare),
        "blocks": _blocks(sheet, results, bare),
        "ends": bench.breadboard(sheet, results, bare),
        "sanding": bench.sanding(results),
        "coats": bench.coats(sheet, results, bare),
        "lookouts": sentences(sheet["warnings"], sizes),
        "checks": checks(sheet, results, bare),
        "cautions": _cautions(sheet, sizes),
    }
    laid = lay_out(made)
    if laid["is_dense"]:
        made["blocks"] = _blocks(sheet, results, bare, is_short=True)
    return {**made, **laid}


def _blocks(sheet: Sheet, results: Results, sizes: Sizes, *, is_short: bool = False) -> list[Block]:
    made = (
        bench.clamps(sheet, results, sizes, is_short=is_short),
        bench.stiffeners(sheet, results, sizes),
        bench.fixings(sheet, results, sizes),
    )
    return [block for block in made if block]


def _cautions(sheet: Sheet, sizes: Sizes) -> list[list[dict[str, str]]]:
    """Return each caution once, in columns of about one length.

    One of a calculation that begins with the title of another says the same.
    """
    titles = {caution["title"].casefold() for caution in sheet["cautions"] if caution["title"]}
    told = [
        {"title": caution["title"], "text": sentence(sizes.text(without_marks(caution["text"])))}
        for caution in sheet["cautions"]
        if caution["title"] or caution["text"].partition(":")[0].casefold() not in titles
    ]
    long = [len(caution["title"]) + len(caution["text"]) + END_OF_LINE for caution in told]
    columns: list[list[dict[str, str]]] = [[] for _ in range(COLUMNS)]
    for n, caution in enumerate(told):
        middle = sum(long[:n]) + long[n] // 2
        columns[min(COLUMNS - 1, middle * COLUMNS // sum(long))].append(caution)
    return columns


def _sources(sheets: list[Sheet], sizes: Sizes) -> list[dict[str, str]]:
    """Return the notes and sources of each calculation once, for all pieces."""
    found = []
    for one in CALCULATIONS.values():
        kept = [sheet[one.sheet] for sheet in sheets if one.sheet in sheet]
        told_once = dict.fromkeys(
            sizes.text(text)
            for each in kept
            for text in (*each["notes"], *(format_source(source) for source in each["source"]))
        )
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
            "Issuing gives it a number and fixes what it says: for each piece a page with drawing,"
            " cut list and slots, and a page with glue-up, clamps, coats, checks and cautions. The code on it"
            " leads to what is to be done next. When a piece is changed, withdraw it and issue a new one."
        ),
        content=job_sheet_content,
        layout=job_sheet_html,
        steps=(Step.ACCEPTED, Step.IN_SHOP, Step.READY),
        outdated_by=("piece_added", "piece_changed", "piece_removed", "route_changed", "stage_redone"),
        place=8,
    )
)
