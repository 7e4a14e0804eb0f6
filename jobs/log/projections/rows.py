"""The rows of pieces' routes: read once in a request, afresh in a command, and changed by its events.

Outside both, every read asks the database. After a command, its rows serve the answer to its request.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from jobs.core.command_cache import drop, hold, is_command, recall, recall_all
from jobs.models import Commission, Event, Offer, Piece, Stage, Wait

LAID, COMMISSION, CHANGED, OFFER = "laid", "commission", "changed commission", "offer"


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
        hold((LAID, known.piece.number), known)
    return [found[piece.id] or read[piece.id] for piece in pieces]


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
    known = commissions(number)
    return known[0].id if known else Commission.objects.values_list("id", flat=True).get(number=number)


def change_commission(number: str, **fields: Any) -> None:
    """Write these fields of a commission; a command writes them together with all others, at its end."""
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
    number = event.data.get("piece")
    if number and (open_batch := batch()):
        open_batch.write(number)
    if not number:
        for commission in list(recall_all(COMMISSION)):
            drop((COMMISSION, commission.number, id(commission)))
    for known in all_held():
        if number in (None, "", known.piece.number):
            drop((LAID, known.piece.number))


class Batch:
    """Stages that a rebuild changes: each is read once and written once for many events."""

    def __init__(self) -> None:
        self._pieces: dict[str, dict[str, Stage]] = {}
        self._by_id: dict[int, Stage] = {}
        self._changed: dict[int, set[str]] = defaultdict(set)
        self._with_waits: set[int] = set()

    def stage(self, number: str, key: str) -> Stage:
        """Return a stage of a piece, without its spec."""
        if number not in self._pieces:
            found = Stage.objects.defer("spec").filter(piece__number=number)
            self._pieces[number] = {stage.key: stage for stage in found}
            self._by_id |= {stage.id: stage for stage in self._pieces[number].values()}
            waits = Wait.objects.filter(stage__piece__number=number).exclude(step=Wait.Step.VOID)
            self._with_waits |= set(waits.values_list("stage_id", flat=True))
        return self._pieces[number][key]

    def change(self, row: Stage, fields: Collection[str]) -> None:
        """Note a change of a row that this batch read; write that of any other row."""
        if self._by_id.get(row.id) is row:
            self._changed[row.id] |= set(fields)
        else:
            row.save(update_fields=fields)

    def has_waits(self, row: Stage) -> bool:
        """Return whether a stage has waits that are not void."""
        return row.id in self._with_waits

    def note_waits(self, row: Stage, *, any_left: bool) -> None:
        """Note whether a stage has waits that are not void."""
        (self._with_waits.add if any_left else self._with_waits.discard)(row.id)

    def write(self, *numbers: str) -> None:
        """Write the noted changes and start again with none."""
        for number in numbers or list(self._pieces):
            for row in self._pieces.pop(number, {}).values():
                if names := self._changed.pop(row.id, None):
                    row.save(update_fields=names)
                del self._by_id[row.id]
                self._with_waits.discard(row.id)


_batch: ContextVar[Batch | None] = ContextVar("batch", default=None)


@contextmanager
def batching() -> Iterator[Batch]:
    """Open a batch of changed stages; its user writes the batch from time to time."""
    batch = Batch()
    token = _batch.set(batch)
    try:
        yield batch
        batch.write()
    finally:
        _batch.reset(token)


def batch() -> Batch | None:
    """Return the open batch; None in a command."""
    return _batch.get()


def stage(number: str, key: str) -> Stage:
    """Return the row of a stage that an event is about to change."""
    if open_batch := batch():
        return open_batch.stage(number, key)
    known = held(number)
    found = known.stage(key) if known else None
    return found or Stage.objects.get(piece__number=number, key=key)


def change(row: Stage, **fields: Any) -> None:
    """Write these fields of a row and no others."""
    for name, value in fields.items():
        setattr(row, name, value)
    if open_batch := batch():
        open_batch.change(row, fields)
    else:
        row.save(update_fields=fields)
