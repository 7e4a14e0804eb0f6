"""Drawings and samples sent to a client to approve, and the client's yes."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db.models import Case, OuterRef, Subquery, When

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, Revised
from jobs.domain import lookups
from jobs.domain.checks import refuse_if_ended, refuse_if_forgotten
from jobs.domain.clients.updates import CLIENT, tell
from jobs.domain.routes.approvals import What, asked_of, facts_of, gates_of, is_current, mark_of
from jobs.domain.waits.route import RouteState
from jobs.log.commands import CommandTransaction, command
from jobs.log.projections.rows import stages_of
from jobs.models import Approval, Commission, Piece

Wanted = dict[str, list[str]]
"""By the number of a piece: what the client is to approve of it."""


def to_ask(commission: Commission) -> Wanted:
    """Return what the client can be asked to approve of each piece: open gates, without a standing yes."""
    pieces = lookups.pieces(commission)
    stages = stages_of([piece.number for piece in pieces])
    held = _approved(commission)
    found = {}
    for piece in pieces:
        of_piece = [stage for stage in stages if stage.piece_id == piece.id]
        what = [w for w in asked_of(piece, of_piece) if not _stands(held, piece, w)]
        if what:
            found[piece.number] = what
    return found


def _approved(commission: Commission) -> list[Approval]:
    return list(commission.approvals.exclude(approved_at=None))


def _stands(held: Sequence[Approval], piece: Piece, what: str) -> bool:
    """Return whether the client's yes to this covers the piece as it is now."""
    return any(one.piece == piece.number and one.what == what and is_current(one, piece) for one in held)


@command
def ask_approval(
    tx: CommandTransaction,
    *,
    commission: str,
    drawings: Sequence[str] = (),
    samples: Sequence[str] = (),
    words: str = "",
) -> None:
    """Ask the client to approve the drawings and the samples of these pieces, as they are now.

    The client's page shows them with a button. With words, a mail goes out as with any update.
    """
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {commission}")
    refuse_if_ended(found)
    refuse_if_forgotten(found.client)
    asked = [(What.DRAWING, number) for number in drawings] + [(What.SAMPLE, number) for number in samples]
    if not asked:
        raise Invalid(
            "nothing was chosen to approve", field="drawings", value="", allowed="a drawing or a sample"
        )
    wanted, pieces = to_ask(found), {piece.number: piece for piece in lookups.pieces(found)}
    for what, number in dict.fromkeys(asked):
        if what not in wanted.get(number, ()):
            raise Invalid(
                f"the {what} of {number} is not to be approved",
                field=f"{what}s", value=number,
                allowed=", ".join(n for n, open_ones in wanted.items() if what in open_ones) or "none",
            )  # fmt: skip
        shown = facts_of(pieces[number], what)
        data = {"commission": commission, "piece": number, "what": str(what), "shown": shown}
        tx.append("approval_asked", f"commission:{commission}", data)
    if words.strip():
        tell(tx, found, words)


@command
def approve(
    tx: CommandTransaction, *, commission: str, shown: Mapping[int, str], link: int | None = None
) -> None:
    """Record the client's yes: by the key of what was asked, the mark of the facts on the page.

    Raises
    ------
    Revised
        A piece was changed since; it has to be shown again.
    """
    found = lookups.commission(commission)
    if tx.call.by != f"{CLIENT}{found.client_id}":
        raise Forbidden("only the client approves", field="by", value=tx.call.by, allowed="the client")
    refuse_if_ended(found)
    if not shown:
        raise Invalid("nothing was ticked", field="approve", value="", allowed="what you approve")
    for key, mark in shown.items():
        asked = _open(found, key, mark)
        told = {"piece": asked.piece, "what": asked.what, "shown": asked.shown, "link": link}
        data: dict[str, Any] = {"commission": commission, "approval": key, **told}
        tx.append("client_approved", f"commission:{commission}", data)
    tx.tell_now()


def _open(commission: Commission, key: int, mark: str) -> Approval:
    """Return what was asked; refuse what is approved, and what the piece no longer is."""
    says = "nothing like this is to be approved"
    found = lookups.existing(commission.approvals.filter(id=key), "approval", key, says)
    if found.approved_at:
        raise AlreadyDone("this is approved", field="approval", value=key, allowed="what is still open")
    if mark != mark_of(found.shown) or not is_current(found, lookups.piece(found.piece)):
        raise Revised(
            "this was changed after it was shown", field="approval", value=key,
            allowed="the newest one, once it is shown",
        )  # fmt: skip
    return found


def approvals_of(commission: Commission) -> list[dict[str, Any]]:
    """Return what the client of a commission was asked to approve, the newest first of each thing."""
    pieces = {piece.number: piece for piece in lookups.pieces(commission)}
    newest = {(one.piece, one.what): one for one in commission.approvals.all()}
    return [
        {
            "id": one.id,
            "piece": one.piece,
            "what": one.what,
            "asked_at": one.asked_at,
            "asked_by": one.asked_by,
            "approved_at": one.approved_at,
            "is_current": one.piece in pieces and is_current(one, pieces[one.piece]),
            "mark": mark_of(one.shown),
        }
        for one in sorted(newest.values(), key=lambda one: (one.asked_at, one.id), reverse=True)
    ]


def _open_since(what: str) -> Subquery:
    """Return a subquery for when a piece was last shown for this; null once that is approved."""
    newest = Approval.objects.filter(piece=OuterRef("number"), what=what).order_by("-asked_at", "-id")
    return Subquery(newest.values(at=Case(When(approved_at=None, then="asked_at")))[:1])


ASKED_COLUMNS = {f"asked_{what}": _open_since(what) for what in Approval.What.values}
"""For ``annotate``: what `with_the_client` reads of pieces."""


def with_the_client(routes: Iterable[RouteState]) -> list[tuple[Piece, str, datetime]]:
    """Return what lies with clients to approve and is still wanted, and since when, the oldest first.

    The pieces have the `ASKED_COLUMNS`.
    """
    wanted = [(route.piece, what) for route in routes for what in gates_of(route.stages)]
    asked = [(piece, what, getattr(piece, f"asked_{what}")) for piece, what in wanted]
    return sorted((one for one in asked if one[2]), key=lambda one: one[2])
