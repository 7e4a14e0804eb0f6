"""What is kept of a client's yes: who, when, how, to which paper, with which choices, for which sum."""

import json
from typing import Any

from jobs.core.errors import NotYet, WrongState
from jobs.domain import lookups
from jobs.domain.checks import about
from jobs.domain.notes.pictures import pin, shrunk_picture
from jobs.domain.quoting.offer_content import offer_content
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import FORGOTTEN, Texts
from jobs.models import Offer

ON_THEIR_PAGE = "page"
HOWS = ("told", "written", "signed")
"""How the shop heard a client's yes: in words, in writing, by a signed copy."""


def acceptance_of(offer: Offer, alternatives: list[dict[str, Any]], frozen: str) -> dict[str, Any] | None:
    """Return what is kept of the yes to a version; None where it is not accepted.

    ``alternatives`` are those of its content, ``frozen`` is what its paper says. The hash is that
    of the PDF that was shown; one that was still being prepared has the hash of its first bytes, which never
    change. A yes of an earlier version of the service has no sums.
    """
    if offer.step != Offer.Step.ACCEPTED or offer.paper is None:
        return None
    pieces = json.loads(frozen).get("pieces", []) if frozen != FORGOTTEN else []
    return {
        "accepted_at": offer.decided_at,
        "accepted_by": offer.decided_by,
        "how": offer.how,
        "paper": offer.paper.number,
        "sha256": offer.shown_sha256 or offer.paper.file_sha256,
        "total": offer.agreed_total,
        "deposit": offer.agreed_deposit,
        "chosen": [one["description"] for one in alternatives if one["position"] in offer.chosen],
        "drawings": [
            {"number": one["drawing_number"], "revision": one["revision"], "label": one["label"]}
            for one in pieces
            if one["drawing"]
        ],
        "signed_copy": offer.signed_copy,
    }


def the_acceptance(number: str) -> tuple[Offer, dict[str, Any]]:
    """Return the accepted version of an offer with what is kept of the yes; refuse an offer without one."""
    for offer in reversed(lookups.versions(number)):
        if offer.paper is None:
            continue
        texts = Texts([offer.name_ref, offer.paper.frozen_ref])
        kept = acceptance_of(offer, offer_content(offer)["alternatives"], texts[offer.paper.frozen_ref])
        if kept is not None:
            return offer, {**kept, "name": texts[offer.name_ref]}
    lookups.offer(number)
    raise NotYet(f"{number} is not accepted", field="offer", value=number, allowed="an accepted offer")


def keep_signed_copy(
    call: CommandContext, *, offer: str, version: int, picture: bytes | None
) -> CommandResult:
    """Keep a picture of the signed copy with an accepted version; another one takes its place."""
    if earlier := replayed_result(call):
        return earlier
    return _keep_signed_copy(call, offer=offer, version=version, copy=shrunk_picture(picture))


@command
def _keep_signed_copy(tx: CommandTransaction, *, offer: str, version: int, copy: bytes) -> None:
    tx.require_owner("a signed copy")
    found = lookups.offer(offer, version)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    if found.step != Offer.Step.ACCEPTED:
        raise about(found, f"is {found.step}", allowed="an accepted version", error=WrongState)
    keep_copy(tx, found, copy)


def keep_copy(tx: CommandTransaction, offer: Offer, copy: bytes) -> None:
    """Pin the picture of a signed copy, for the owner alone. Called by other commands."""
    number = offer.paper.number if offer.paper else offer.number
    picture = pin(tx, offer.commission, copy, f"Signed copy of {number}", owner_only=True)
    data = {"offer": offer.number, "version": offer.version, "picture": picture}
    tx.append("offer_copy_kept", f"commission:{offer.commission.number}", data)
