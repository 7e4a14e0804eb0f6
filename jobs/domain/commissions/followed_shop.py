"""Glue-ups of open pieces follow the shop: its air, hands, machines, clamps and glues."""

import logging
from datetime import datetime
from typing import Any

from jobs.core.errors import ShopError
from jobs.domain import lookups
from jobs.domain.checks import SYSTEM
from jobs.domain.commissions.piece_commands import change_in, own_stages, refuse_if_papers
from jobs.domain.pieces.calculations import compute
from jobs.domain.pieces.shop_changes import FIGURES
from jobs.domain.stages.clampings import GLUING
from jobs.log.commands import CommandContext, CommandTransaction, command
from jobs.log.private_texts import read
from jobs.models import Commission, Piece, Stage

Step = Commission.Step
FOLLOWING = (Step.ENQUIRY, Step.QUOTED, Step.ACCEPTED, Step.IN_SHOP)
log = logging.getLogger(__name__)


def follow_all(now: datetime) -> None:
    """Calculate the glue-up of each open piece again, and lay its stages by it, until one of them is begun.

    A piece whose papers hold stays as it is printed; its glue-up asks before it starts.
    """
    call = CommandContext(by=SYSTEM, at=now, now=now)
    for piece in Piece.objects.filter(commission__step__in=FOLLOWING).order_by("number"):
        if _is_begun(piece):
            continue
        computed = _followed(piece)
        if computed == piece.computed:
            continue
        try:
            _follow(call, piece=piece.number, revision=piece.revision, computed=computed)
        except ShopError as refused:
            log.info("%s does not follow the shop: %s", piece.number, refused)


def _is_begun(piece: Piece) -> bool:
    """Return whether a stage of the glue-up is begun, or there is none."""
    steps = [stage.step for stage in piece.stages.all() if GLUING in stage.spec["calcs"]]
    return not steps or any(step != Stage.Step.PLANNED for step in steps)


def _followed(piece: Piece) -> dict[str, Any]:
    """Return the stored calculations with today's of the glue-up."""
    return {**piece.computed, **compute(piece.inputs, piece, FIGURES)}


@command
def _follow(tx: CommandTransaction, *, piece: str, revision: int, computed: dict[str, Any]) -> None:
    found = lookups.piece(piece)
    if found.revision != revision:
        return
    refuse_if_papers(found.commission)
    change_in(
        tx,
        found,
        label=read(found.label_ref),
        inputs=found.inputs,
        computed=computed,
        own=own_stages(found),
    )
