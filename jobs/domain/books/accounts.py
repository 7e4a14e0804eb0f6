"""Accounts of the bookkeeper: by tax category, by the way money came, by kind of cost."""

import re
from typing import Any

from jobs.core.errors import Invalid
from jobs.domain.billing.payments import METHODS
from jobs.domain.billing.taxes import TAX_CATEGORIES
from jobs.domain.checks import one_of
from jobs.domain.settings import settings
from jobs.models import Cost

ACCOUNTS: dict[str, tuple[str, ...]] = {
    "income_accounts": tuple(TAX_CATEGORIES), "money_accounts": METHODS,
    "cost_accounts": tuple(Cost.Kind.values),
}  # fmt: skip
"""The settings that hold accounts, and what each names one for."""
LONGEST_ACCOUNT = 20
ACCOUNT = re.compile(rf"[A-Za-z0-9][A-Za-z0-9 ./_-]{{0,{LONGEST_ACCOUNT - 1}}}")


def read_accounts(name: str, value: Any) -> dict[str, str]:
    """Return accounts by name, from a mapping or from lines of text such as ``S: 4400``."""
    known = ACCOUNTS[name]
    if isinstance(value, str):
        lines = [line.partition(":") for line in value.splitlines() if line.strip()]
        value = {key.strip(): account.strip() for key, _, account in lines}
    allowed = f"a line each: one of {', '.join(known)}, a colon and an account"
    if not isinstance(value, dict):
        raise Invalid("not a list of accounts", field=name, value=str(value)[:60], allowed=allowed)
    for key, account in value.items():
        one_of(key, known, field=name, shown=40)
        if not (isinstance(account, str) and ACCOUNT.fullmatch(account)):
            shown = f"letters, digits, spaces and . / - _ up to {LONGEST_ACCOUNT}, a letter or digit first"
            raise Invalid(f"not an account of {key}", field=name, value=str(account)[:40], allowed=shown)
    return dict(value)


def account_of(setting: str, name: str) -> str:
    """Return the account that the bookkeeper named; empty where none is."""
    return str(settings()[setting].get(name, ""))
