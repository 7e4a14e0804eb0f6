"""Events of notes for next time, and of pictures."""

from django.utils.translation import gettext as _

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Payload, Wording, event_kind
from jobs.models import Event, Note, NoteDismissal, Picture
from jobs.models.bases import row_key


@event_kind("note_written", file="picture")
class NoteWritten(OfStage):
    """A note for next time is written at a stage."""

    template_key: str
    title: str
    own_title: PrivateRef | None
    owner_only: bool
    words: PrivateRef
    picture: PrivateRef | None
    tags: Json
    rule: dict[str, str] | None

    def project(self, event: Event) -> None:
        rows.add(
            Note(
                id=row_key(event.seq),
                title_ref=self.own_title,
                words_ref=self.words,
                picture_ref=self.picture,
                written_at=event.occurred_at,
                written_by=event.actor,
                version=event.seq,
                **self.given("template_key", "title", "owner_only", "piece", "stage", "tags", "rule"),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(stage)s: a note for next time") % {"stage": self.stage_title(tell)},
            tell.text(self.words),
        ]


@event_kind("note_dismissed")
class NoteDismissed(Payload):
    """A note is dismissed for one piece."""

    note: int
    piece: str

    def project(self, event: Event) -> None:
        rows.add(
            NoteDismissal(
                id=row_key(event.seq),
                note_id=self.note,
                piece=self.piece,
                dismissed_at=event.occurred_at,
                dismissed_by=event.actor,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Note for next time read")]


@event_kind("note_retired")
class NoteRetired(Payload):
    """A note is retired."""

    note: int
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(
            Note,
            self.note,
            retired_at=event.occurred_at,
            retired_by=event.actor,
            retired_reason_ref=self.reason,
            version=event.seq,
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Note for next time retired"), tell.text(self.reason)]


@event_kind("picture_taken", file="picture")
class PictureTaken(OfStage):
    """A picture is added to a stage."""

    owner_only: bool
    picture: PrivateRef
    words: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.add(
            Picture(
                id=row_key(event.seq),
                commission=self.piece.rpartition("-")[0],
                piece=self.piece,
                stage=self.stage,
                owner_only=self.owner_only,
                picture_ref=self.picture,
                words_ref=self.words,
                taken_at=event.occurred_at,
                taken_by=event.actor,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: a picture") % {"stage": self.stage_title(tell)}, tell.text(self.words)]


@event_kind("picture_removed")
class PictureRemoved(OfStage):
    """A picture is removed from its stage."""

    picture: int
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(Picture, self.picture, removed_at=event.occurred_at, removed_reason_ref=self.reason)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: a picture removed") % {"stage": self.stage_title(tell)}, tell.text(self.reason)]


@event_kind("commission_pictured", file="picture", keeps_routes=True)
class CommissionPictured(Payload):
    """A picture is added to a commission: the room, a sketch, what they have seen."""

    number: str
    picture: PrivateRef
    words: PrivateRef | None
    owner_only: bool | Absence = ABSENT

    def project(self, event: Event) -> None:
        rows.add(
            Picture(
                id=row_key(event.seq),
                commission=self.number,
                **self.given("owner_only"),
                picture_ref=self.picture,
                words_ref=self.words,
                taken_at=event.occurred_at,
                taken_by=event.actor,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("A picture for the commission"), tell.text(self.words)]


@event_kind("commission_picture_removed", keeps_routes=True)
class CommissionPictureRemoved(Payload):
    """A picture is removed from its commission."""

    number: str
    picture: int
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(Picture, self.picture, removed_at=event.occurred_at, removed_reason_ref=self.reason)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("A picture of the commission removed"), tell.text(self.reason)]
