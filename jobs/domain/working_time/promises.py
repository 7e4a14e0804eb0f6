"""Commands on a commission's promised day: how firm it is, and days on which its client takes nothing."""

from datetime import date

from jobs.core.errors import AlreadyDone, NotFound
from jobs.domain import lookups
from jobs.domain.checks import not_before, one_of, refuse_if_ended
from jobs.domain.working_time.commands import LONGEST_REASON, check_days
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.log.projections.working_time import FIRMNESS
from jobs.models import Blackout, Commission

WEIGHTS = {word: weight for weight, word in FIRMNESS.items()}
"""How firm a promised day is, and how many times a late day of it counts: common practice, no source."""


@command
def set_promise_weight(tx: CommandTransaction, *, commission: str, firmness: str) -> None:
    """Say how firm the promised day of a commission is: usual, important or must."""
    found = _open_commission(tx, commission)
    one_of(firmness, WEIGHTS, field="firmness", shown=40)
    if WEIGHTS[firmness] == found.promise_weight:
        raise AlreadyDone("it is so already", field="firmness", value=firmness, allowed="another one")
    stream = f"commission:{found.number}"
    tx.append("promise_weight_set", stream, {"commission": found.number, "weight": WEIGHTS[firmness]})


@command
def set_blackout(
    tx: CommandTransaction, *, commission: str, first: date, last: date | None = None, reason: str = ""
) -> None:
    """Set days on which the client of a commission takes no delivery and no visit."""
    found = _open_commission(tx, commission)
    last = first if last is None else last
    check_days(first, last, tx.call.day)
    not_before(last, tx.call.day, "these days are over", field="last")
    if Blackout.objects.filter(commission=found, first=first, last=last, is_cancelled=False).exists():
        raise AlreadyDone("this is set already", field="first", value=first, allowed="other days")
    kept = store_private_text(reason, field="reason", longest=LONGEST_REASON, one_line=True)
    data = {"commission": found.number, "first": first, "last": last, "reason": kept}
    tx.append("commission_blackout_set", f"commission:{found.number}", data)


@command
def cancel_blackout(tx: CommandTransaction, *, commission: str, blackout: int) -> None:
    """Take back days on which the client of a commission takes nothing."""
    about = _open_commission(tx, commission)
    found = about.blackouts.filter(id=blackout).first()
    if found is None:
        raise NotFound("there are no such days", field="blackout", value=blackout)
    if found.is_cancelled:
        raise AlreadyDone("they are taken back already", field="blackout", value=blackout, allowed="others")
    tx.append("commission_blackout_cancelled", f"commission:{about.number}", {"blackout": blackout})


def _open_commission(tx: CommandTransaction, number: str) -> Commission:
    tx.require_owner("a promised day")
    found = lookups.commission(number)
    refuse_if_ended(found)
    tx.check_version(found.version, what=f"commission {found.number}")
    return found
