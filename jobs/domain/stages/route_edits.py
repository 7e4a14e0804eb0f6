"""Commands on routes: change the route of one piece, and set a template of the shop."""

from collections.abc import Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Any

from jobs.core.errors import Invalid, WrongState
from jobs.core.refs import ref
from jobs.domain import lookups
from jobs.domain.checks import about, at_most, one_of, refuse_if_ended, title_of
from jobs.domain.routes import MOST_STAGES, bare_stage, read_text, with_holds
from jobs.domain.routes.note_rules import notices
from jobs.domain.waits.route import RouteState, is_missed, is_over
from jobs.domain.waits.waits import append_stage, end_wait, start_passive_stages
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read, store_private_text
from jobs.models import Piece, RouteTemplate, Stage, Wait

LONGEST_TITLE = 120
RECOAT = "recoat"
"""The kind of wait whose missed window requires abrading."""
PLACES = ("bench", "clamps", "finishing room", "machines", "office", "rack", "road")
"""Places for a maker's own stage: those that the service's templates use."""


@command
def add_stage(
    tx: CommandTransaction,
    *,
    piece: str,
    title: str,
    after: Sequence[str],
    before: Sequence[str] = (),
    place: str = "bench",
) -> None:
    """Add a stage of the maker's own to a piece's route, after some stages and before others."""
    found, stages = _route(tx, piece)
    if not (0 < len(title.strip()) <= LONGEST_TITLE):
        raise Invalid(
            "a stage needs a title", field="title", value=title, allowed=f"1 to {LONGEST_TITLE} characters"
        )
    one_of(place, PLACES, "there is no such place", field="place")
    _known(stages, "after", after)
    _known(stages, "before", before)
    numbers = [int(k[6:]) for s in stages if (k := s["key"]).startswith("added-")]
    key = f"added-{max(numbers, default=0) + 1}"
    new = bare_stage(key=key, kind="added", title="Own stage", place=place, after=list(after))
    new["title_private"] = store_private_text(title, field="title", longest=LONGEST_TITLE, one_line=True)
    for stage in stages:
        if stage["key"] in before:
            stage["after"] = [k for k in stage["after"] if k not in after] + [key]
    last = max((n for n, s in enumerate(stages) if s["key"] in after), default=-1)
    _lay(tx, found, [*stages[: last + 1], new, *stages[last + 1 :]])


@command
def remove_stage(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Remove a planned stage from a piece's route; its followers take over its predecessors."""
    found, stages = _route(tx, piece)
    _known(stages, "stage", [stage])
    gone = next(s for s in stages if s["key"] == stage)
    row = lookups.stage(piece, stage)
    if row.step != Stage.Step.PLANNED or row.attempt > 1:
        raise about(row, "has been begun", allowed="a stage that was never begun")
    if gone["marks"] or gone["owner_only"]:
        raise about(row, "moves the commission on and stays", allowed="stages of the work itself")
    _refuse_if_timed(gone, stages)
    left = [s for s in stages if s["key"] != stage]
    followers = [s["key"] for s in left if stage in s["after"]]
    for other in left:
        other["after"] = _spliced(other["after"], stage, gone["after"])
        for wait in other["waits"]:
            wait["holds"] = _spliced(wait["holds"], stage, followers)
    _lay(tx, found, left)


def _refuse_if_timed(gone: dict[str, Any], stages: list[dict[str, Any]]) -> None:
    """Refuse to remove a stage whose finish starts a wait that other stages name or count from."""
    held = {key for wait in gone["waits"] if wait["named"] for key in wait["holds"]}
    timed = [
        _title(s)
        for s in stages
        if s is not gone and (s["key"] in held or any(w["since"] == gone["key"] for w in s["waits"]))
    ]
    if timed:
        raise WrongState(
            f"{_title(gone)} starts the time of {', '.join(timed)} and stays",
            field="stage",
            value=gone["key"],
            allowed="a stage whose end no other stage waits for; take those out first",
        )


@command
def move_stage(tx: CommandTransaction, *, piece: str, stage: str, after: Sequence[str]) -> None:
    """Replace the predecessors of a planned stage."""
    found, stages = _route(tx, piece)
    _known(stages, "stage", [stage])
    _known(stages, "after", after)
    row = lookups.stage(piece, stage)
    if row.step != Stage.Step.PLANNED:
        raise about(row, f"is {row.step}", allowed="a planned stage")
    for other in stages:
        if other["key"] == stage:
            other["after"] = list(dict.fromkeys(after))
    _lay(tx, found, _in_order(stages))


@command
def set_template(tx: CommandTransaction, *, text: str) -> None:
    """Set a route template of the shop as a new version; running pieces keep the one they started with."""
    tx.require_owner("a route template")
    template = read_text(text, "the template")
    last = RouteTemplate.objects.filter(key=template.key).order_by("-version").first()
    version = last.version if last else 0
    tx.check_version(version, what=f"template {template.key}")
    tx.append("template_set", f"template:{template.key}", {
        "key": template.key, "version": version + 1, "text": text,
    })  # fmt: skip


def put_before(tx: CommandTransaction, stage: Stage, new: dict[str, Any], *, instead: bool) -> None:
    """Put a stage directly before another one, or in its place. Called by other commands."""
    stages = _specs(stage.piece)
    at = next(n for n, s in enumerate(stages) if s["key"] == stage.key)
    new["after"] = stages[at]["after"]
    if instead:
        stages[at] = new
        for other in stages:
            other["after"] = _spliced(other["after"], stage.key, [new["key"]])
    else:
        stages[at]["after"] = [new["key"]]
        stages.insert(at, new)
    _lay(tx, stage.piece, stages)


def recoat_missed(holding: list[Wait], tx: CommandTransaction, override: Mapping[str, str]) -> bool:
    """Return whether the recoat window has closed, the waits are over and no reason overrides it."""
    at = tx.call.at
    missed = any(w.kind == RECOAT and is_missed(w, at) for w in holding)
    return missed and all(is_over(w, at) for w in holding) and f"window:{RECOAT}" not in override


def abrade_first(tx: CommandTransaction, stage: Stage) -> None:
    """Put abrading on the route after a missed recoat window and start it; it replaces a mere scuffing.

    Called by other commands.
    """
    key = f"abrade-{stage.key}"
    new = bare_stage(
        key=key,
        kind="abrade",
        title="Abraded, the recoat window was missed",
        do="Abrade: the recoat window was missed",
        place=stage.spec["place"],
        after=[],
        cautions=("dust", "fresh-finish-dust"),
    )
    put_before(tx, stage, new, instead=stage.spec["template_key"] == "scuff")
    abrade = lookups.stage(stage.piece.number, key)
    for wait in RouteState(abrade.piece).holding(abrade):
        end_wait(tx, wait)
    append_stage(tx, "stage_started", abrade, {"measured": {}, "overrides": {}, "auto": False})
    tx.notices.append("the recoat window was missed: abrading was put on the route and started")


def _route(tx: CommandTransaction, piece: str) -> tuple[Piece, list[dict[str, Any]]]:
    found = lookups.piece(piece)
    tx.check_version(found.version, what=f"piece {piece}")
    refuse_if_ended(found.commission)
    return found, _specs(found)


def _specs(piece: Piece) -> list[dict[str, Any]]:
    """Return the route as an event stores it, with own titles by their ref."""
    specs = []
    for stage in piece.stages.order_by("position"):
        spec = {**stage.spec}
        if stage.title_ref:
            spec["title_ref"] = stage.title_ref
        specs.append(spec)
    return specs


def _known(stages: list[dict[str, Any]], field: str, keys: Sequence[str]) -> None:
    known = [s["key"] for s in stages]
    wrong = sorted(set(keys) - set(known))
    if wrong or (field == "after" and not keys):
        says = "there is no such stage on this route" if wrong else "a stage comes after something"
        raise Invalid(says, field=field, value=", ".join(wrong), allowed=", ".join(known))


def _title(spec: dict[str, Any]) -> str:
    """Return the title of a stage: the maker's own words, else the template's."""
    own = spec.get("title_ref") or ref(spec.get("title_private"))
    return read(own) if own else str(spec["title"])


def _spliced(keys: list[str], gone: str, instead: list[str]) -> list[str]:
    return list(dict.fromkeys(k for key in keys for k in (instead if key == gone else [key])))


def _in_order(stages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the stages with each below its predecessors, otherwise in their order; refuse a cycle."""
    graph = {s["key"]: s["after"] for s in stages}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as ring:
        titles = {s["key"]: _title(s) for s in stages}
        raise Invalid(
            f"these stages would wait for one another: {', '.join(titles[k] for k in ring.args[1][:-1])}",
            field="after",
            value=" -> ".join(ring.args[1]),
            allowed="an order without rings",
        ) from ring
    placed: list[dict[str, Any]] = []
    left = list(stages)
    while left:
        done = {s["key"] for s in placed}
        following = next(s for s in left if set(s["after"]) <= done)
        placed.append(following)
        left.remove(following)
    return placed


def _lay(tx: CommandTransaction, piece: Piece, stages: list[dict[str, Any]]) -> None:
    ordered = with_holds(_in_order(stages))
    at_most(len(ordered), MOST_STAGES, "too many stages", field="stages")
    refuse_if_begun_stages_go(piece, ordered)
    tx.notices += notices(ordered, piece.inputs, before=_specs(piece))
    tx.append(
        "route_changed", f"commission:{piece.commission.number}", {"piece": piece.number, "stages": ordered}
    )
    start_passive_stages(tx, lookups.piece(piece.number))


def refuse_if_begun_stages_go(piece: Piece, stages: list[dict[str, Any]]) -> None:
    """Refuse to drop a begun stage or to change its predecessors. Called by other commands."""
    after = {s["key"]: set(s["after"]) for s in stages}
    begun = [s for s in piece.stages.order_by("position") if s.step != Stage.Step.PLANNED]
    done = {s.key for s in begun}
    touched = [s for s in begun if s.key not in after or not after[s.key] <= done]
    if touched:
        raise WrongState(
            f"this change would drop or move begun stages of piece {piece.number}: "
            f"{', '.join(title_of(s) for s in touched)}",
            field="piece",
            value=piece.number,
            allowed="changes that keep what has been begun",
            extra={"stages": [s.key for s in touched]},
        )
