"""How to pay an invoice, in words and as the code that a bank's app reads."""

from decimal import Decimal

import segno.helpers

from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.qr import drawn_code
from jobs.documents.kit.wording import clean, day, money
from jobs.domain.billing.paying import EURO, pay_to, reference_of
from jobs.domain.papers.bank_details import LONGEST_NAME, is_reference


def pay_rows(frozen: Frozen) -> list[tuple[str, str]]:
    """Return the rows of the box: to whom, which account, how much, what to name, until when."""
    account = pay_to(frozen)
    rows = [
        ("Pay to", clean(account.payee)),
        ("IBAN", account.iban),
        ("BIC", account.bic),
        ("Or" if account.iban else "How", clean(account.said)),
        ("Amount", money(frozen["due"], frozen["currency"])),
        ("Reference", account.reference or "named when it is issued"),
        ("By", day(frozen["due_on"])),
    ]
    return [(name, text) for name, text in rows if text]


def payment_code(frozen: Frozen, *, amount: Decimal | None = None) -> str:
    """Return the code of EPC069-12, version 2, as a drawing; empty where it cannot be.

    It takes euro, an IBAN, an issued invoice with something to pay, and a name of up to 70 letters.
    """
    shop, owed = frozen["shop"], Decimal(frozen["due"]) if amount is None else amount
    name, reference = " ".join(clean(pay_to(frozen).payee).split()), reference_of(frozen)
    if frozen["currency"] != EURO or not (shop.get("iban") and owed > 0 and is_reference(reference)):
        return ""
    if not name or len(name) > LONGEST_NAME:
        return ""
    try:
        code = segno.helpers.make_epc_qr(
            name, shop["iban"], owed, reference=reference, bic=shop.get("bic") or None, encoding="utf-8"
        )
    except ValueError:  # a name of letters that take several bytes each may pass the limit of 331
        return ""
    return drawn_code(code, says=f"Payment code: {money(owed, EURO)} to {name}, reference {reference}")
