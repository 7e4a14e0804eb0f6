"""Commands on what was bought for a commission: add, correct, void."""

from datetime import date
from decimal import Decimal

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, Invalid
from jobs.domain import lookups
from jobs.domain.checks import clock, has_words, in_range, one_of, person_name, refuse_if_forgotten
from jobs.domain.notes.images import shrunk
from jobs.domain.papers.letterhead import currency_of
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import read, store_private_text
from jobs.models import Commission, Cost

LONGEST = 200
EARLIEST = date(2000, 1, 1)
MOST = Decimal(10_000_000)
ZERO = Decimal("0.00")


def add_cost(
    call: CommandContext,
    *,
    commission: str,
    what: str,
    net: Decimal,
    kind: str = Cost.Kind.OTHER,
    tax: Decimal = ZERO,
    supplier: str = "",
    day: date | None = None,
    picture: bytes | None = None,
) -> CommandResult:
    """Add something bought for a commission; a credit of the supplier has a negative amount.

    ``net`` is without tax, ``tax`` what was paid on it. The picture of the receipt is shrunk before the log
    is locked.
    """
    if earlier := replayed_result(call):
        return earlier
    small = shrunk(picture) if picture else None
    return _add(
        call, commission=commission, what=what, net=net, kind=kind, tax=tax, supplier=supplier, day=day,
        picture=small,
    )  # fmt: skip


@command
def _add(
    tx: CommandTransaction,
    *,
    commission: str,
    what: str,
    net: Decimal,
    kind: str,
    tax: Decimal,
    supplier: str,
    day: date | None,
    picture: bytes | None,
) -> None:
    tx.require_owner("what was bought")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_forgotten(found.client)
    _append(
        tx, found, what=what, net=net, kind=kind, tax=tax, supplier=supplier, day=day,
        picture=blobs.store(picture) if picture else "",
    )  # fmt: skip


@command
def void_cost(tx: CommandTransaction, *, cost: int, reason: str = "") -> None:
    """Void a mistyped cost: it stays on record and no longer counts."""
    _void(tx, _to_put_right(tx, cost), reason)


@command
def correct_cost(
    tx: CommandTransaction,
    *,
    cost: int,
    what: str | None = None,
    net: Decimal | None = None,
    kind: str | None = None,
    tax: Decimal | None = None,
    supplier: str | None = None,
    day: date | None = None,
    reason: str = "",
) -> None:
    """Void a mistyped cost and add the right one at once; what is not given stays, its picture too."""
    found = _to_put_right(tx, cost)
    _void(tx, found, reason)
    _append(
        tx, found.commission,
        what=read(found.what_ref) if what is None else what, net=found.net if net is None else net,
        kind=found.kind if kind is None else kind, tax=found.tax if tax is None else tax,
        supplier=read(found.supplier_ref) if supplier is None else supplier, day=day or found.day,
        picture=read(found.picture_ref),
    )  # fmt: skip


def _to_put_right(tx: CommandTransaction, key: int) -> Cost:
    tx.require_owner("what was bought")
    found = lookups.cost(key)
    commission = found.commission
    tx.check_version(commission.version, what=f"commission {commission.number}")
    refuse_if_forgotten(commission.client)
    if found.voided_at is not None:
        raise AlreadyDone(
            f"voided by {person_name(found.voided_by)} at {clock(found.voided_at)}",
            field="cost", value=key, allowed="a cost that counts",
        )  # fmt: skip
    return found


def _void(tx: CommandTransaction, cost: Cost, reason: str) -> None:
    number = cost.commission.number
    why = store_private_text(reason, field="reason", longest=1000)
    tx.append(
        "cost_voided", f"commission:{number}", {"commission": number, "cost": cost.id, "reason": why}
    )  # fmt: skip


def _append(
    tx: CommandTransaction,
    commission: Commission,
    *,
    what: str,
    net: Decimal,
    kind: str,
    tax: Decimal,
    supplier: str,
    day: date | None,
    picture: str,
) -> None:
    has_words(what, "a cost needs words", field="what", allowed="what was bought, in a few words")
    one_of(kind, Cost.Kind.values, field="kind", shown=20)
    for field, value in (("net", net), ("tax", tax)):
        if not value.is_finite() or abs(value) > MOST or value != round(value, 2):
            allowed = f"-{MOST} to {MOST}, up to 2 decimals"
            raise Invalid("not an amount", field=field, value=str(value)[:40], allowed=allowed)
    if net == 0:
        raise Invalid("a cost of nothing", field="net", value=net, allowed="any other amount")
    if tax * net < 0:
        raise Invalid("tax against its amount", field="tax", value=tax, allowed="the sign of the amount")
    today = tx.call.day
    in_range(day or today, EARLIEST, today, "not a day gone by", field="day")
    tx.append(
        "cost_added",
        f"commission:{commission.number}",
        {
            "commission": commission.number,
            "kind": kind,
            "what": store_private_text(what, field="what", longest=LONGEST, one_line=True),
            "supplier": store_private_text(supplier, field="supplier", longest=LONGEST, one_line=True),
            "day": day or today,
            "net": round(net, 2),
            "tax": round(tax, 2),
            "currency": currency_of(commission),
            "picture": store_private_text(picture) if picture else None,
        },
    )
