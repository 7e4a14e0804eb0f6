"""Bank accounts and payment references: IBAN, BIC, and the reference that a transfer names.

IBAN: ISO 13616, check digits mod 97; BIC: ISO 9362; creditor reference: ISO 11649. python-stdnum checks them.
"""

import re
from collections.abc import Mapping

from stdnum import bic, iban, iso11649
from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_97_10

from jobs.core.errors import Invalid

OF_PAPER = re.compile(r"([A-Z]+20[0-9]{2})([0-9]{4,})")
"""The number of a paper without its dash: letters, the year, and its place in the year."""
LONGEST_NAME = 70
"""Letters of the name on an account in a payment code, EPC069-12."""


def read_bank_details(given: Mapping[str, str]) -> dict[str, str]:
    """Return IBAN and BIC of these texts without spaces; refuse wrong ones by name. Others stay out."""
    found = {}
    if "iban" in given:
        found["iban"] = _iban(given["iban"])
    if "bic" in given:
        found["bic"] = _bic(given["bic"])
    name = given.get("account_name", "").strip()
    if len(name) > LONGEST_NAME or "\n" in name:
        raise Invalid(
            "too long for a payment", field="account_name", value=name[:100],
            allowed=f"one line of up to {LONGEST_NAME} letters",
        )  # fmt: skip
    return found


def _iban(text: str) -> str:
    if not text.strip():
        return ""
    try:
        return str(iban.validate(text, check_country=False))
    except ValidationError as wrong:
        raise Invalid(
            "not an IBAN: its check digits or its length are wrong", field="iban", value=text[:60],
            allowed="the IBAN of the account, such as DE75 5121 0800 1245 1261 99",
        ) from wrong  # fmt: skip


def _bic(text: str) -> str:
    if not text.strip():
        return ""
    try:
        return str(bic.validate(text))
    except ValidationError as wrong:
        raise Invalid(
            "not a BIC", field="bic", value=text[:60],
            allowed="8 or 11 letters and digits with the country in fifth place, such as SOGEDEFF",
        ) from wrong  # fmt: skip


def grouped(number: str) -> str:
    """Return an IBAN or a reference in groups of four, as papers print it."""
    return " ".join(number[at : at + 4] for at in range(0, len(number), 4))


def creditor_reference(number: str) -> str:
    """Return the ISO 11649 reference of a paper's number, such as RF78I20260001 for I2026-0001."""
    plain = "".join(letter for letter in number.upper() if letter.isascii() and letter.isalnum())
    return f"RF{mod_97_10.calc_check_digits(f'{plain}RF')}{plain}"


def is_reference(text: str) -> bool:
    """Return whether a text is an ISO 11649 reference."""
    return bool(iso11649.is_valid(text))


def number_of(reference: str) -> str:
    """Return the number of the paper that an ISO 11649 reference names; empty where the text is none."""
    if not iso11649.is_valid(reference):
        return ""
    named = OF_PAPER.fullmatch(str(iso11649.validate(reference))[4:])
    return f"{named[1]}-{named[2]}" if named else ""
