"""Commands on pictures of a stage's work or of what a commission asks for: take one, remove one."""

from django.db.models import QuerySet

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, Invalid
from jobs.domain import lookups
from jobs.domain.checks import refuse_if_forgotten
from jobs.domain.lookups import existing
from jobs.domain.notes.images import shrunk
from jobs.domain.stages.preconditions import the_stage
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Picture
from jobs.models.bases import row_key

LONGEST_WORDS = 500
MOST_PER_STAGE = MOST_PER_COMMISSION = 60


def take_picture(
    call: CommandContext, *, piece: str, stage: str, picture: bytes | None, words: str = ""
) -> CommandResult:
    """Add a picture to a stage at any step. The picture is shrunk before the log is locked."""
    if earlier := replayed_result(call):
        return earlier
    return _take(call, piece=piece, stage=stage, picture=shrunk_picture(picture), words=words)


def picture_commission(
    call: CommandContext, *, commission: str, picture: bytes | None, words: str = ""
) -> CommandResult:
    """Add a picture to a commission: the room, a sketch, what they have seen."""
    if earlier := replayed_result(call):
        return earlier
    return pin_picture(call, commission=commission, picture=shrunk_picture(picture), words=words)


def shrunk_picture(picture: bytes | None) -> bytes:
    """Return a picture as it is kept: small, without place and time; refuse an empty one."""
    if not picture:
        raise Invalid("a picture is needed", field="picture", value="", allowed="a JPEG, PNG or WebP picture")
    return shrunk(picture)


@command
def _take(tx: CommandTransaction, *, piece: str, stage: str, picture: bytes, words: str) -> None:
    found = the_stage(tx, piece, stage)
    _has_room(Picture.objects.filter(piece=piece, stage=stage), MOST_PER_STAGE)
    tx.append(
        "picture_taken",
        f"commission:{found.piece.commission.number}",
        {
            "piece": piece,
            "stage": stage,
            "owner_only": found.spec["owner_only"],
            "picture": store_private_text(blobs.store(picture)),
            "words": store_private_text(words, field="words", longest=LONGEST_WORDS),
        },
    )


@command
def pin_picture(tx: CommandTransaction, *, commission: str, picture: bytes, words: str = "") -> None:
    """Add a picture that is shrunk already to a commission."""
    pin(tx, lookups.commission(commission), picture, words)


def pin(
    tx: CommandTransaction, found: Commission, picture: bytes, words: str, *, owner_only: bool = False
) -> int:
    """Add a shrunk picture to a commission; return its key. Called by other commands."""
    refuse_if_forgotten(found.client)
    _has_room(Picture.objects.filter(commission=found.number, piece=""), MOST_PER_COMMISSION)
    tx.append(
        "commission_pictured",
        f"commission:{found.number}",
        {
            "number": found.number,
            "picture": store_private_text(blobs.store(picture)),
            "words": store_private_text(words, field="words", longest=LONGEST_WORDS),
            **({"owner_only": True} if owner_only else {}),
        },
    )
    return row_key(tx.events[-1].seq)


def _has_room(pictures: QuerySet[Picture], most: int) -> None:
    """Refuse one picture more than the most that are shown."""
    count = pictures.filter(removed_at=None).count()
    if count >= most:
        raise Invalid("too many pictures", field="picture", value=count, allowed=f"up to {most}")


@command
def remove_picture(tx: CommandTransaction, *, picture: int, reason: str = "") -> None:
    """Remove a picture from its stage or commission; it is no longer shown."""
    found = existing(Picture.objects.filter(id=picture), "picture", picture)
    if found.removed_at:
        raise AlreadyDone("this picture is removed", field="picture", value=picture, allowed="one shown")
    data = {"picture": picture, "reason": store_private_text(reason, field="reason")}
    stream = f"commission:{found.commission}"
    if found.piece:
        tx.append("picture_removed", stream, {"piece": found.piece, "stage": found.stage, **data})
    else:
        tx.append("commission_picture_removed", stream, {"number": found.commission, **data})
