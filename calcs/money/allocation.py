"""Which money pays which invoice: what was named first, then the oldest invoice first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from calcs.kit.errors import OutOfRange

ZERO = Decimal("0.00")
AGES = ((0, "not due"), (30, "1 to 30"), (60, "31 to 60"), (90, "61 to 90"))
OLDEST = "over 90"


@dataclass(frozen=True, kw_only=True)
class Bill:
    """An invoice that holds: its total with tax [currency]; one below nothing is money for the others."""

    number: str
    total: Decimal


@dataclass(frozen=True, kw_only=True)
class Money:
    """Money received, or given back where ``amount`` [currency] is negative; ``named`` bills come first."""

    amount: Decimal
    named: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Allocation:
    """``paid`` of each bill; of each money in its order the ``shares`` and the ``rests`` that pay no bill;
    what is ``left`` of all [currency].
    """

    paid: dict[str, Decimal]
    shares: tuple[tuple[tuple[str, Decimal], ...], ...]
    rests: tuple[Decimal, ...]
    left: Decimal


def allocate(bills: Sequence[Bill], moneys: Sequence[Money]) -> Allocation:
    """Lay money, in the order it came, on bills, oldest first.

    A named share never exceeds its bill; what is over, or named for no bill there is, is as if nothing
    had been named. What was given back is taken from the money that came last.

    Raises
    ------
    OutOfRange
        Where more was given back than there was.

    Examples
    --------
    >>> bills = [Bill(number="1", total=Decimal(100)), Bill(number="2", total=Decimal(50))]
    >>> allocate(bills, [Money(amount=Decimal(120))]).paid
    {'1': Decimal('100.00'), '2': Decimal('20.00')}
    """
    open_sums = {bill.number: max(bill.total, ZERO) + ZERO for bill in bills}
    shares: list[dict[str, Decimal]] = [{} for _ in moneys]
    rest = [money.amount + ZERO for money in moneys]

    def lay(n: int, number: str, most: Decimal) -> None:
        share = min(most, rest[n], open_sums[number])
        if share > 0:
            shares[n][number] = shares[n].get(number, ZERO) + share
            rest[n] -= share
            open_sums[number] -= share

    for n, money in enumerate(moneys):
        for number, amount in money.named:
            if number in open_sums:
                lay(n, number, amount)
    _give_back(rest)
    credit = [-bill.total for bill in bills if bill.total < 0]
    for n in range(len(moneys)):
        for bill in bills:
            lay(n, bill.number, rest[n])
    over = sum(credit, ZERO)
    for bill in bills:
        share = min(over, open_sums[bill.number])
        open_sums[bill.number] -= share
        over -= share
    return Allocation(
        paid={bill.number: max(bill.total, ZERO) - open_sums[bill.number] for bill in bills},
        shares=tuple(tuple(share.items()) for share in shares),
        rests=tuple(rest),
        left=sum(rest, ZERO) + over,
    )


def _give_back(rest: list[Decimal]) -> None:
    """Take what was given back from what came last and is free."""
    for n, amount in enumerate(rest):
        if amount >= 0:
            continue
        for before in range(len(rest) - 1, -1, -1):
            taken = min(max(rest[before], ZERO), -rest[n])
            rest[before] -= taken
            rest[n] += taken
        if rest[n] < 0:
            raise OutOfRange(
                f"{-rest[n]} more was given back than there was",
                field="amount", value=amount, allowed="up to what is free",
            )  # fmt: skip


def age(days_late: int) -> str:
    """The column of a list of open invoices by age [days after the due date]."""
    return next((name for most, name in AGES if days_late <= most), OLDEST)
