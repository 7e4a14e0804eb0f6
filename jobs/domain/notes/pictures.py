"""Commands on pictures of a stage's work: take one, remove one."""

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, Invalid
from jobs.domain.lookups import existing
from jobs.domain.notes.images import shrunk
from jobs.domain.stages.preconditions import the_stage
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import store_private_text
from jobs.models import Picture

LONGEST_WORDS = 500
MOST_PER_STAGE = 60


def take_picture(
    call: CommandContext, *, piece: str, stage: str, picture: bytes | None, words: str = ""
) -> CommandResult:
    """Add a picture to a stage at any step. The picture is shrunk before the log is locked."""
    if earlier := replayed_result(call):
        return earlier
    if not picture:
        raise Invalid("a picture is needed", field="picture", value="", allowed="a JPEG, PNG or WebP picture")
    return _take(call, piece=piece, stage=stage, picture=shrunk(picture), words=words)


@command
def _take(tx: CommandTransaction, *, piece: str, stage: str, picture: bytes, words: str) -> None:
    found = the_stage(tx, piece, stage)
    count = Picture.objects.filter(piece=piece, stage=stage, removed_at=None).count()
    if count >= MOST_PER_STAGE:
        raise Invalid("too many pictures", field="picture", value=count, allowed=f"up to {MOST_PER_STAGE}")
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
def remove_picture(tx: CommandTransaction, *, picture: int, reason: str = "") -> None:
    """Remove a picture from its stage; it is no longer shown."""
    found = existing(Picture.objects.filter(id=picture), "picture", picture)
    if found.removed_at:
        raise AlreadyDone("this picture is removed", field="picture", value=picture, allowed="one shown")
    tx.append(
        "picture_removed",
        f"commission:{found.piece.rpartition('-')[0]}",
        {
            "piece": found.piece,
            "stage": found.stage,
            "picture": picture,
            "reason": store_private_text(reason, field="reason"),
        },
    )
