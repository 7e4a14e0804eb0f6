"""Events of boards."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.core.typed_json import ABSENT, Absence, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Board, Event, MoistureReading
from jobs.models.bases import row_key

SIDES = ("thickness_len", "width_len", "length_len")


def sizes(typed: dict[str, str]) -> str:
    """Return the sides of a board as they were typed."""
    return " × ".join(typed[name] for name in ("thickness", "width", "length"))


@dataclass(frozen=True, kw_only=True)
class OfBoard(Payload):
    """The payload of an event about one board."""

    board: int

    def change(self, event: Event, **fields: object) -> None:
        """Write these fields of the board and its new version."""
        Board.objects.filter(number=self.board).update(version=event.seq, **fields)


@event_kind("board_added")
class BoardAdded(OfBoard):
    """A board is added to the rack."""

    species: str
    thickness_len: int
    width_len: int
    length_len: int
    typed: dict[str, str]
    price: Decimal | None
    currency: str
    note: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.add(
            Board(
                id=row_key(event.seq),
                number=self.board,
                note_ref=self.note,
                added_at=event.occurred_at,
                version=event.seq,
                **self.given("species", "typed", "price", "currency", *SIDES),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("Board %(board)s added: %(species)s, %(sides)s")
            % {"board": self.board, "species": self.species, "sides": sizes(self.typed)},
            tell.text(self.note),
        ]


@event_kind("board_changed")
class BoardChanged(OfBoard):
    """Typed fields of a board are replaced; fields left out stay."""

    species: str | Absence = ABSENT
    thickness_len: int | Absence = ABSENT
    width_len: int | Absence = ABSENT
    length_len: int | Absence = ABSENT
    typed: dict[str, str] | Absence = ABSENT
    price: Decimal | None | Absence = ABSENT
    currency: str | Absence = ABSENT
    note: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        fields = self.given("species", "typed", "price", "currency", *SIDES)
        if self.note is not ABSENT:
            fields["note_ref"] = self.note
        self.change(event, **fields)

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("Board %(board)s changed") % {"board": self.board},
            sizes(self.typed) if self.typed is not ABSENT else "",
            tell.text(self.note) if self.note is not ABSENT else "",
        ]


@event_kind("board_cut")
class BoardCut(OfBoard):
    """An offcut is added as a new free board."""

    cut_from: int
    thickness_len: int
    width_len: int
    length_len: int
    typed: dict[str, str]
    note: PrivateRef | None

    def project(self, event: Event) -> None:
        parent = Board.objects.get(number=self.cut_from)
        rows.add(
            Board(
                id=row_key(event.seq),
                number=self.board,
                species=parent.species,
                note_ref=self.note,
                cut_from=parent.number,
                added_at=event.occurred_at,
                version=event.seq,
                **self.given("typed", *SIDES),
            )
        )
        parent.version = event.seq
        parent.save()

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("Board %(board)s cut off board %(cut_from)s")
            % {"board": self.board, "cut_from": self.cut_from},
            tell.text(self.note),
        ]


@event_kind("board_moisture_read")
class MoistureRead(OfBoard):
    """The moisture of a board is read."""

    pct: Decimal
    at: datetime
    depth_len: int | None

    def project(self, event: Event) -> None:
        rows.add(
            MoistureReading(
                id=row_key(event.seq),
                board=Board.objects.get(number=self.board),
                pct=self.pct,
                at=self.at,
                depth_len=self.depth_len,
            )
        )
        self.change(event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s: moisture %(pct)s %%") % {"board": self.board, "pct": f"{self.pct:f}"}]


@event_kind("board_moisture_voided")
class MoistureVoided(OfBoard):
    """A wrong moisture reading is voided."""

    reading: int

    def project(self, event: Event) -> None:
        rows.update(MoistureReading, self.reading, voided=True)
        self.change(event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s: a moisture reading taken back") % {"board": self.board}]


@event_kind("board_reserved")
class BoardReserved(OfBoard):
    """A free board is reserved for a piece."""

    piece: str

    def project(self, event: Event) -> None:
        self.change(event, step=Board.Step.RESERVED, piece=self.piece)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s reserved for %(piece)s") % {"board": self.board, "piece": self.piece}]


@event_kind("board_released")
class BoardReleased(OfBoard):
    """A board is released; ``piece`` is the one that had it."""

    piece: str

    def project(self, event: Event) -> None:
        self.change(event, step=Board.Step.FREE, piece="")

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s is free again") % {"board": self.board}]


@event_kind("board_used")
class BoardUsed(OfBoard):
    """A board is used by a piece."""

    piece: str

    def project(self, event: Event) -> None:
        self.change(event, step=Board.Step.USED, piece=self.piece)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s used for %(piece)s") % {"board": self.board, "piece": self.piece}]


@event_kind("board_written_off")
class BoardWrittenOff(OfBoard):
    """A board is written off."""

    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        self.change(event, step=Board.Step.WRITTEN_OFF, piece="", reason_ref=self.reason)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Board %(board)s written off") % {"board": self.board}, tell.text(self.reason)]


def free_reserved(event: Event, pieces: list[str]) -> None:
    """Free the boards reserved for pieces that will not be made."""
    boards = Board.objects.filter(step=Board.Step.RESERVED, piece__in=pieces)
    boards.update(step=Board.Step.FREE, piece="", version=event.seq)
