"""Allocation of money to invoices: shares that were named first, then the oldest invoice first.

A purely arithmetic rule, common practice, no source; sums are Decimal with two places in one currency.
"""

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
    """An invoice that holds.

    Attributes
    ----------
    number : str
        Its number.
    total : Decimal
        Total with tax [currency]; a negative total is credit for the other invoices.
    """

    number: str
    total: Decimal


@dataclass(frozen=True, kw_only=True)
class Money:
    """One payment, or a repayment.

    Attributes
    ----------
    amount : Decimal
        Money received [currency]; negative where it was given back.
    named : tuple of (str, Decimal)
        Invoices that it names, each with its share; they come first.
    """

    amount: Decimal
    named: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Allocation:
    """Result of an allocation; all sums in the currency.

    Attributes
    ----------
    paid : dict of str to Decimal
        Sum paid of each invoice.
    shares : tuple
        Shares of each payment in its order: number of the invoice and sum.
    rests : tuple of Decimal
        Rest of each payment that pays no invoice.
    left : Decimal
        Rest of all payments and credits.
    """

    paid: dict[str, Decimal]
    shares: tuple[tuple[tuple[str, Decimal], ...], ...]
    rests: tuple[Decimal, ...]
    left: Decimal


def allocate(bills: Sequence[Bill], moneys: Sequence[Money]) -> Allocation:
    """Allocate payments, in the order they came, to invoices, oldest first.

    Parameters
    ----------
    bills : sequence of Bill
        Invoices, oldest first.
    moneys : sequence of Money
        Payments and repayments, in the order they came.

    Returns
    -------
    Allocation

    Raises
    ------
    OutOfRange
        Where more was given back than there was.

    Notes
    -----
    A named share never exceeds its invoice. A share over it, or named for no invoice here, counts as not
    named. Money given back is taken from the payment that came last. Credit of negative invoices is laid
    last, oldest first.

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
    """Take repayments from the free rests of payments, the last payment first; refuse more than is free."""
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
    """Return the column of a list of open invoices by age.

    Parameters
    ----------
    days_late : int
        Days after the due date [d]; 0 or less is not due.

    Examples
    --------
    >>> age(0), age(31), age(91)
    ('not due', '31 to 60', 'over 90')
    """
    return next((name for most, name in AGES if days_late <= most), OLDEST)
