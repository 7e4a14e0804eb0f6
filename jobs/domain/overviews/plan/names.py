"""Names of what a plan is about: what to do, of which piece, in which wood."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from django.db.models import Q

from jobs.domain.pieces.wood import WOOD_COLUMNS, thumb_of
from jobs.domain.waits.queries import stage_title, what_to_do
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Piece, Stage

READ_OF_STAGE = (
    "piece_id", "key", "spec", "title_ref", "step", "started_at", "finished_at", "finished_by", "minutes",
    "worked_s",
)  # fmt: skip
Key = tuple[str, str]
"""A piece by its number, and the key of one of its stages."""


@dataclass(frozen=True, kw_only=True)
class PlanNames:
    """Names of the commissions, pieces and stages of a plan. What is gone since has empty names."""

    pieces: dict[str, Piece]
    stages: dict[Key, Stage]
    texts: Texts

    def do(self, piece: str, stage: str) -> str:
        """Return what to do at a stage, verb first."""
        found = self.stages.get((piece, stage))
        return what_to_do(found, self.texts) if found else ""

    def title(self, piece: str, stage: str) -> str:
        """Return the title of a stage."""
        found = self.stages.get((piece, stage))
        return stage_title(found, self.texts) if found else ""

    def label(self, piece: str) -> str:
        """Return what a piece is called."""
        found = self.pieces.get(piece)
        return self.texts[found.label_ref] if found else ""

    def look(self, piece: str) -> str:
        """Return the name of a piece's wood as it is drawn; empty where its size is not known."""
        found = self.pieces.get(piece)
        thumb = thumb_of(found) if found else None
        return thumb["look"] if thumb else ""

    def commission(self, number: str) -> Commission | None:
        """Return a commission of the plan."""
        return next((p.commission for p in self.pieces.values() if p.commission.number == number), None)

    def commission_title(self, number: str) -> str:
        """Return the title of a commission."""
        found = self.commission(number)
        return self.texts[found.title_ref] if found else ""

    @property
    def titles(self) -> dict[str, str]:
        """Return the titles of the commissions by their numbers."""
        found = {one.commission.number: one.commission.title_ref for one in self.pieces.values()}
        return {number: self.texts[ref] for number, ref in found.items()}

    def first_look(self, number: str) -> str:
        """Return the wood of the first piece of a commission."""
        found = [p.number for p in self.pieces.values() if p.commission.number == number]
        return self.look(min(found)) if found else ""

    def is_owners(self, piece: str, stage: str) -> bool:
        """Return whether a stage is the owner's alone."""
        found = self.stages.get((piece, stage))
        return bool(found and found.spec["owner_only"])


class OfStage(Protocol):
    """What the plan says of a stage; an empty stage stands for the whole commission."""

    @property
    def piece(self) -> str: ...

    @property
    def stage(self) -> str: ...


def stages_of(*rows: Iterable[OfStage]) -> set[Key]:
    """Return the stages that rows of a plan are about."""
    return {(one.piece, one.stage) for some in rows for one in some if one.stage}


def read_names(
    *,
    commissions: Collection[str],
    stages: Collection[Key],
    done_since: datetime | None = None,
    more_rows: Iterable[Any] = (),
) -> PlanNames:
    """Return names in three queries; with ``done_since`` also the stages that were finished since then."""
    pieces = _pieces(set(commissions), {piece for piece, _ in stages}, done_since)
    known = {one.id: one.number for one in pieces}
    wanted = Q(piece__in=list(known), key__in={key for _, key in stages})
    if done_since:
        wanted |= Q(piece__in=list(known), finished_at__gte=done_since)
    laid = list(Stage.objects.filter(wanted).only(*READ_OF_STAGE).order_by("piece_id", "position"))
    texts = Texts(
        refs_of([*pieces, *(one.commission for one in pieces), *more_rows])
        + [one.title_ref for one in laid]
        + [one.commission.client.name_ref for one in pieces]
    )
    return PlanNames(
        pieces={one.number: one for one in pieces},
        stages={(known[one.piece_id], one.key): one for one in laid},
        texts=texts,
    )


def _pieces(commissions: set[str], numbers: set[str], done_since: datetime | None) -> list[Piece]:
    wanted = Q(commission__number__in=commissions) | Q(number__in=numbers)
    if done_since:
        wanted |= Q(id__in=Stage.objects.filter(finished_at__gte=done_since).values("piece"))
    found = Piece.objects.filter(wanted).defer("inputs", "computed", "changed").annotate(**WOOD_COLUMNS)
    return list(found.select_related("commission__client").order_by("number"))
