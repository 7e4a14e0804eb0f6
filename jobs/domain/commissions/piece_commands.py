"""Commands on pieces: add, change, remove. Results are computed before the log is locked."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from jobs.core.errors import Invalid, RestsOnPaper, WrongState
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.checks import about, has_words, refuse_if_ended
from jobs.domain.lifecycle import STEPS, follow_milestone
from jobs.domain.papers.kinds import kinds_on_pieces
from jobs.domain.pieces.blockers import told_at_once
from jobs.domain.pieces.calculations import compute, differences
from jobs.domain.pieces.inputs import choices_for, own_titles, read_inputs
from jobs.domain.routes import Clamping, clampings_of, expand, laid_clampings, route
from jobs.domain.routes.note_rules import notices
from jobs.domain.stages.route_edits import refuse_if_begun_stages_go
from jobs.domain.waits.closing import close_if_settled
from jobs.domain.waits.waits import start_passive_stages
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import read, store_private_text
from jobs.models import Commission, Event, Piece, Stage

MOST_PIECES, LONGEST_LABEL = 50, 200
Step = Commission.Step


def add_piece(
    call: CommandContext, *, commission: str, units: Units, asked: Mapping[str, Any]
) -> CommandResult:
    """Add a piece to a commission: check its inputs, compute its results, lay its route."""
    if earlier := replayed_result(call):
        return earlier
    label, own = _label(asked), own_titles(asked)
    inputs = read_inputs(_without_words(asked), units)
    computed = compute(inputs)
    return _add(call, commission=commission, label=label, inputs=inputs, computed=computed, own=own or ())


def change_piece(
    call: CommandContext, *, piece: str, units: Units, asked: Mapping[str, Any]
) -> CommandResult:
    """Change the inputs of a piece and recalculate it; stages already begun must stay."""
    if earlier := replayed_result(call):
        return earlier
    found = lookups.piece(piece)
    label = _label(asked) if "label" in asked else read(found.label_ref)
    own = own_titles(asked)
    if own is None:
        own = own_stages(found)
    inputs = read_inputs(_without_words(asked), units, found.inputs)
    computed = compute(inputs, found)
    return _change(
        call, piece=piece, revision=found.revision, label=label, inputs=inputs, computed=computed, own=own
    )


@command
def remove_piece(tx: CommandTransaction, *, piece: str) -> None:
    """Remove a piece whose stages are all planned and whose safety tasks are settled."""
    found = lookups.piece(piece)
    tx.check_version(found.version, what=f"piece {piece}")
    refuse_if_ended(found.commission)
    refuse_if_papers(found.commission)
    begun = found.stages.exclude(step=Stage.Step.PLANNED).count()
    if begun:
        says = f"{begun} stages of piece {piece} have been started"
        allowed = "a piece on which nothing has been started"
        raise WrongState(says, field="piece", value=piece, allowed=allowed)
    open_tasks = found.safety_tasks.filter(done_at=None)
    if open_tasks:
        says = f"piece {piece}: " + ", ".join(dict.fromkeys(t.get_kind_display() for t in open_tasks))
        allowed = "a piece whose safety tasks are settled"
        raise WrongState(says, field="piece", value=piece, allowed=allowed)
    tx.append("piece_removed", f"commission:{found.commission.number}", {"piece": piece})
    for mark in STEPS:
        follow_milestone(tx, found.commission, mark)
    close_if_settled(tx, found.commission)


@command
def _add(
    tx: CommandTransaction,
    *,
    commission: str,
    label: str,
    inputs: dict[str, Any],
    computed: dict[str, Any],
    own: tuple[str, ...],
) -> None:
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_ended(found)
    refuse_if_papers(found)
    if found.step in (Step.READY, Step.DELIVERED):
        allowed = "commissions that are not ready yet; reopen a stage, or open another commission"
        raise about(found, f"is {found.step}: nothing is added to it", allowed=allowed)
    count = found.pieces.count()
    if count >= MOST_PIECES:
        raise Invalid("too many pieces", field="commission", value=count, allowed=f"up to {MOST_PIECES}")
    number = _next_number(found)
    laid = _route(inputs, own, computed)
    tx.notices += [*notices(laid["stages"], inputs), *told_at_once(computed)]
    tx.append(
        "piece_added",
        f"commission:{found.number}",
        {
            "commission": found.number,
            "piece": number,
            "label": store_private_text(label, field="label", longest=LONGEST_LABEL, one_line=True),
            "inputs": inputs,
            "computed": computed,
            **laid,
        },
    )
    start_passive_stages(tx, lookups.piece(number))


@command
def _change(
    tx: CommandTransaction,
    *,
    piece: str,
    revision: int,
    label: str,
    inputs: dict[str, Any],
    computed: dict[str, Any],
    own: tuple[str, ...],
) -> None:
    found = lookups.piece(piece)
    tx.check_version(found.version, what=f"piece {piece}")
    if found.revision != revision:
        raise about(found, "was changed at the same moment", allowed="try again")
    refuse_if_ended(found.commission)
    refuse_if_papers(found.commission)
    change_in(tx, found, label=label, inputs=inputs, computed=computed, own=own)


def change_in(
    tx: CommandTransaction,
    found: Piece,
    *,
    label: str,
    inputs: dict[str, Any],
    computed: dict[str, Any],
    own: tuple[str, ...],
) -> None:
    """Append the change of a piece with results computed before. Called by other commands."""
    piece = found.number
    laid, stays = _changed_route(found, inputs, own, computed)
    tx.notices += [*stays, *told_at_once(computed, found.computed)]
    if laid["stages"] is not None:
        tx.notices += notices(laid["stages"], inputs)
    tx.append(
        "piece_changed",
        f"commission:{found.commission.number}",
        {
            "piece": piece,
            "label": store_private_text(label, field="label", longest=LONGEST_LABEL, one_line=True),
            "inputs": inputs,
            "computed": computed,
            "changed": differences(found.computed, computed),
            **laid,
        },
    )
    start_passive_stages(tx, lookups.piece(piece))


def _next_number(commission: Commission) -> str:
    """Return the next number of a piece; it counts log events, so a removed number is not reused."""
    added = Event.objects.filter(stream=f"commission:{commission.number}", kind="piece_added").count()
    return f"{commission.number}-{added + 1}"


AS_IT_WAS: dict[str, Any] = {"route": None, "stages": None}
"""The route of a change that keeps the piece's route."""


def _changed_route(
    piece: Piece, inputs: dict[str, Any], own: tuple[str, ...], computed: dict[str, Any]
) -> tuple[dict[str, Any], list[str]]:
    """Return the new route where the change affects it, and what the maker has to know of it.

    Where only the number of clampings changes, a route that was changed by hand or is begun stays.
    """
    laid_for = laid_clampings(stage.spec for stage in piece.stages.order_by("position"))
    before = choices_for(piece.inputs, own_stages(piece), laid_for)
    after = choices_for(inputs, own, _clampings(inputs, computed))
    if (piece.inputs["route"], before) == (inputs["route"], after):
        return AS_IT_WAS, []
    of_clampings = (piece.inputs["route"], before) == (
        inputs["route"],
        replace(after, clampings=before.clampings),
    )
    try:
        if piece.route_edited:
            says = f"the route of piece {piece.number} was changed by hand"
            allowed = "changes that bear on no stage, or changes of the route itself"
            raise WrongState(says, field="piece", value=piece.number, allowed=allowed)
        laid = _route(inputs, own, computed)
        refuse_if_begun_stages_go(piece, laid["stages"])
    except WrongState:
        if of_clampings:
            return AS_IT_WAS, [_clampings_stay(piece, len(after.clampings) or 1)]
        raise
    return laid, []


def _clampings(inputs: dict[str, Any], computed: dict[str, Any]) -> tuple[Clamping, ...]:
    """Return the clampings that the route of these inputs is laid for."""
    return clampings_of(computed) if route(inputs["route"]).in_clampings else ()


def _clampings_stay(piece: Piece, count: int) -> str:
    computed = "one clamping is" if count == 1 else f"{count} clampings are"
    return f"{computed} computed for {piece.number} now; its route stays as it was laid, change it by hand"


def own_stages(piece: Piece) -> tuple[str, ...]:
    return tuple(read(s.title_ref) for s in piece.stages.order_by("position") if s.spec["own_title"])


def _route(inputs: dict[str, Any], own: tuple[str, ...], computed: dict[str, Any]) -> dict[str, Any]:
    template = route(inputs["route"])
    if "stages" in template.needs and not own:
        raise Invalid("this route needs stages", field="stages", value="", allowed="at least one stage")
    stages = expand(template, choices_for(inputs, own, _clampings(inputs, computed)))
    for stage in stages:
        if stage["own_title"]:
            stage["title_private"] = store_private_text(stage["title"], field="stages")
            stage["title"] = "Own stage"
    return {"route": {"key": template.key, "sha256": template.sha256}, "stages": stages}


def refuse_if_papers(commission: Commission) -> None:
    """Refuse a change of pieces that papers rest on. Called by other commands."""
    resting = commission.papers.filter(kind__in=kinds_on_pieces(), what="", withdrawn_at=None)
    papers = [p.number for p in resting]
    if papers:
        says = f"{', '.join(papers)} rests on the pieces of {commission.number}: withdraw or credit it first"
        raise RestsOnPaper(says, field="commission", value=commission.number, extra={"papers": papers})


def _label(asked: Mapping[str, Any]) -> str:
    label = str(asked.get("label") or "")
    has_words(label, "a piece needs a label", field="label", allowed="a few words")
    return label


def _without_words(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return the inputs without label and own stages, which are stored as private texts."""
    return {k: v for k, v in asked.items() if k not in ("label", "stages")}
