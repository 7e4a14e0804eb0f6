"""How a client pays an invoice: the account, the way, what a transfer names, and when it was supplied."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.domain import lookups
from jobs.domain.papers.bank_details import creditor_reference, grouped
from jobs.domain.settings import settings
from jobs.models import Commission, Offer, Paper, Stage

TRANSFER, SEPA, CARD, CASH, CHECK = "30", "58", "48", "10", "20"
"""UNTDID 4461: credit transfer, SEPA credit transfer, bank card, cash, check."""
CODES = {"card": CARD, "cash": CASH, "check": CHECK}
NAMES = {"transfer": "Transfer", "card": "Card", "cash": "Cash", "check": "Check"}
EURO = "EUR"


@dataclass(frozen=True, kw_only=True)
class Means:
    """The usual way to pay (BG-16): its code and name, and the account where there is one."""

    code: str
    name: str
    iban: str
    bic: str
    account_name: str


def paying_content(commission: Commission) -> dict[str, Any]:
    """Return what an invoice freezes of how it is paid, and the quote it rests on."""
    quotes = [
        one.paper.number
        for one in lookups.accepted_offers(commission)
        if one.kind == Offer.Kind.QUOTE and one.paper
    ]
    return {"pay_by": settings()["pay_by"], "agreed_in": quotes[-1] if quotes else ""}


def day_of_supply(commission: Commission) -> date | None:
    """Return the day of delivery (BT-72); None before it."""
    delivered = [
        stage.finished_at
        for stage in Stage.objects.filter(piece__commission=commission, step=Stage.Step.DONE)
        if stage.spec["marks"] == "delivered" and stage.finished_at
    ]
    if delivered:
        return timezone.localtime(max(delivered)).date()
    is_there = commission.step == Commission.Step.DELIVERED
    return timezone.localtime(commission.step_at).date() if is_there else None


def means_of(frozen: Mapping[str, Any]) -> Means | None:
    """Return how an invoice is paid; None for papers of before, and for a transfer without an IBAN."""
    shop, by = frozen["shop"], frozen.get("pay_by", "")
    iban = shop.get("iban", "")
    if not by or (by == "transfer" and not iban):
        return None
    transfer = SEPA if frozen["currency"] == EURO else TRANSFER
    account = {name: shop[name] if by == "transfer" else "" for name in ("iban", "bic")}
    return Means(
        code=CODES.get(by, transfer), name=NAMES[by], **account,
        account_name=shop["account_name"] or shop["name"],
    )  # fmt: skip


def reference_of(frozen: Mapping[str, Any]) -> str:
    """Return what a payment names: an ISO 11649 reference for a transfer, else the number itself."""
    by_transfer = frozen["shop"].get("iban") and frozen.get("pay_by") and frozen["number"]
    return creditor_reference(frozen["number"]) if by_transfer else str(frozen["number"])


def reference_words(frozen: Mapping[str, Any]) -> str:
    """Return that reference as papers and mails print it."""
    told = reference_of(frozen)
    return told if told == frozen["number"] else grouped(told)


@dataclass(frozen=True, kw_only=True)
class PayTo:
    """Where money goes and what it names, as papers, mails and pages word it; empty texts are not set."""

    payee: str
    iban: str
    bic: str
    said: str
    reference: str


def pay_to(frozen: Mapping[str, Any]) -> PayTo:
    """Return the account that an invoice names, the shop's own words on paying, and the reference."""
    shop = frozen["shop"]
    iban = shop.get("iban", "")
    return PayTo(
        payee=(shop.get("account_name") or shop["name"]) if iban else "", iban=grouped(iban),
        bic=shop.get("bic", "") if iban else "", said=shop["payment"], reference=reference_words(frozen),
    )  # fmt: skip


def is_to_pay(frozen: Mapping[str, Any]) -> bool:
    """Return whether a paper asks for money."""
    return frozen["kind"] == Paper.INVOICE and Decimal(frozen["due"]) > 0
