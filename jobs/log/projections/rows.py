"""The rows of pieces' routes: read once in a request, afresh in a command, and changed by its events.

Outside both, every read asks the database. After a command, its rows serve the answer to its request.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.core.command_cache import drop, hold, is_command, recall, recall_all
from jobs.log.projections.batch import open_batch
from jobs.models import Commission, Event, Offer, Paper, Piece, Stage, Wait
from jobs.models.bases import State

LAID, COMMISSION, CHANGED, OFFER, PAPER = "laid", "commission", "changed commission", "offer", "paper"
VERSION = "version of a piece"


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A piece with its stages in order and its running waits, the oldest first."""

    piece: Piece
    stages: list[Stage]
    waits: list[Wait]

    def stage(self, key: str) -> Stage | None:
        return next((stage for stage in self.stages if stage.key == key), None)

    def begin(self, wait: Wait) -> None:
        """Add a new wait to the running ones."""
        wait._state.fields_cache["estimate"] = None
        self.waits.append(wait)
        self.waits.sort(key=lambda each: (each.since, each.id))

    def end(self, *ended: int) -> None:
        """Remove these waits from the running ones."""
        self.waits[:] = [wait for wait in self.waits if wait.id not in ended]


def lay(pieces: Collection[Piece]) -> list[Laid]:
    """Return the routes of pieces, from memory where held; two queries at most for the others."""
    found = {piece.id: held(piece.number) for piece in pieces}
    missing = {piece.id: piece for piece in pieces if found[piece.id] is None}
    read = {key: Laid(piece=piece, stages=[], waits=[]) for key, piece in missing.items()}
    stages: dict[int, Stage] = {}
    for stage in Stage.objects.filter(piece__in=missing).order_by("piece_id", "position"):
        stage.piece = missing[stage.piece_id]
        stages[stage.id] = stage
        read[stage.piece_id].stages.append(stage)
    running = Wait.objects.filter(stage__piece__in=missing, step=Wait.Step.RUNNING)
    for wait in running.select_related("estimate"):
        wait.stage = stages[wait.stage_id]
        read[wait.stage.piece_id].waits.append(wait)
    for known in read.values():
        _take_changes(known.piece)
        hold((LAID, known.piece.number), known)
    return [found[piece.id] or read[piece.id] for piece in pieces]


def note_version(number: str, seq: int) -> None:
    """Give a piece its new version, also where its route is read later in this command."""
    if known := held(number):
        known.piece.version = seq
    if is_command():
        hold((VERSION, number), seq)


def _take_changes(piece: Piece) -> None:
    """Give a piece and its commission what this command changed before the route was read."""
    if version := recall((VERSION, piece.number)):
        piece.version = version
    commission = piece._state.fields_cache.get("commission")
    if commission and (changed := recall((CHANGED, commission.number))):
        vars(commission).update(changed[1])


def held(number: str) -> Laid | None:
    """Return the route of a piece that this command or request has read; None where it has not."""
    found: Laid | None = recall((LAID, number))
    return found


def stages_of(numbers: Collection[str]) -> list[Stage]:
    """Return the stages of pieces by their numbers, from memory where held."""
    known = [each for number in numbers if (each := held(number))]
    missing = set(numbers) - {each.piece.number for each in known}
    found = Stage.objects.filter(piece__number__in=missing).select_related("piece")
    return [*found, *(stage for each in known for stage in each.stages)]


def all_held() -> list[Laid]:
    """Return every route that the command has read."""
    return list(recall_all(LAID))


def know(commission: Commission) -> None:
    """Let the events of the open command change this row of a commission too."""
    if is_command():
        hold((COMMISSION, commission.number, id(commission)), commission)


def know_offer(offer: Offer) -> None:
    """Let the events of the open command change this row of an offer too."""
    if is_command():
        hold((OFFER, offer.number, offer.version), offer)


def know_paper(paper: Paper) -> None:
    """Spare the events of the open command a look for the key of this paper."""
    if is_command():
        hold((PAPER, paper.number), paper.id)


def paper_id(number: str) -> int:
    """Return the key of a paper."""
    known: int | None = recall((PAPER, number))
    return known or Paper.objects.values_list("id", flat=True).get(number=number)


def decide_offer(number: str, version: int, **fields: Any) -> None:
    """Write the decision on a version of an offer."""
    Offer.objects.filter(number=number, version=version).update(**fields)
    if known := recall((OFFER, number, version)):
        vars(known).update(fields)


def commissions(number: str) -> list[Commission]:
    """Return the rows of a commission that the command works on."""
    found = [*recall_all(COMMISSION), *(known.piece.commission for known in all_held())]
    return [commission for commission in found if commission.number == number]


def commission_id(number: str) -> int:
    """Return the key of a commission."""
    if batch := open_batch():
        return batch.key(Commission, number)
    known = commissions(number)
    return known[0].id if known else Commission.objects.values_list("id", flat=True).get(number=number)


def piece_id(number: str) -> int:
    """Return the key of a piece."""
    if batch := open_batch():
        return batch.key(Piece, number)
    known = held(number)
    return known.piece.id if known else Piece.objects.values_list("id", flat=True).get(number=number)


def change_commission(number: str, **fields: Any) -> None:
    """Write these fields of a commission; a command writes them together with all others, at its end."""
    if batch := open_batch():
        batch.change_commission(number, fields)
        return
    for known in commissions(number):
        vars(known).update(fields)
    if is_command():
        hold((CHANGED, number), (number, {**(recall((CHANGED, number)) or ("", {}))[1], **fields}))
    else:
        Commission.objects.filter(number=number).update(**fields)


def write_commissions() -> None:
    """Write the changes of commissions of the open command: at its end, or before another read."""
    for number, fields in list(recall_all(CHANGED)):
        Commission.objects.filter(number=number).update(**fields)
        drop((CHANGED, number))


def release(event: Event) -> None:
    """Drop the route that an event changed, or all routes where it names no piece."""
    if open_batch():
        return
    number = event.data.get("piece")
    if not number:
        for commission in list(recall_all(COMMISSION)):
            drop((COMMISSION, commission.number, id(commission)))
    for known in all_held():
        if number in (None, "", known.piece.number):
            drop((LAID, known.piece.number))


def add(row: State) -> None:
    """Insert a new row; a rebuild inserts those of many events together."""
    if batch := open_batch():
        batch.add([row])
    else:
        row.save(force_insert=True)


def add_many(rows: Sequence[State]) -> None:
    """Insert new rows of one table in one statement."""
    if batch := open_batch():
        batch.add(rows)
    elif rows:
        type(rows[0])._default_manager.bulk_create(rows)


def update(model: type[State], key: int, **fields: Any) -> None:
    """Write these fields of the row with this key."""
    batch = open_batch()
    if not (batch and batch.update(model, key, fields)):
        model._default_manager.filter(id=key).update(**fields)


def stage(number: str, key: str) -> Stage:
    """Return the row of a stage that an event is about to change."""
    if batch := open_batch():
        return batch.stage(number, key)
    known = held(number)
    found = known.stage(key) if known else None
    return found or Stage.objects.get(piece__number=number, key=key)


def change(row: Stage, **fields: Any) -> None:
    """Write these fields of a row and no others."""
    for name, value in fields.items():
        setattr(row, name, value)
    if batch := open_batch():
        batch.change(row, fields)
    else:
        row.save(update_fields=fields)
