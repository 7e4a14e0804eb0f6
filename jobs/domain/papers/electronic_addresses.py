"""Where invoices go as data, and what a buyer wants them to name: BT-34, BT-49, BT-10 of EN 16931."""

import re
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from stdnum.de import leitweg
from stdnum.exceptions import ValidationError as WrongNumber

from jobs.core.errors import Invalid

CODES = (
    "0002 0007 0009 0037 0060 0088 0096 0097 0106 0130 0135 0142 0147 0151 0154 0158 0170 0177 0183 "
    "0184 0188 0190 0191 0192 0193 0194 0195 0196 0198 0199 0200 0201 0202 0203 0204 0205 0208 0209 "
    "0210 0211 0212 0213 0215 0216 0217 0218 0219 0220 0221 0225 0230 0235 0240 0242 0244 0245 0246 "
    "0248 9910 9913 9914 9915 9918 9919 9920 9922 9923 9924 9925 9926 9927 9928 9929 9930 9931 9932 "
    "9933 9934 9935 9936 9937 9938 9939 9940 9941 9942 9943 9944 9945 9946 9947 9948 9949 9950 9951 "
    "9952 9953 9957 9959 AN AQ AS AU EM"
)
SCHEMES = frozenset(CODES.split())
"""Codes of the CEF list of electronic address schemes, as rule BR-CL-25 of EN 16931 allows them."""
EMAIL = "EM"
ALLOWED = "an e-mail, or the code of a scheme, a colon and the address, such as 0204:991-03730-19"
LEAST_DIGITS = 3
LEITWEG = re.compile(r"(0[1-9]|1[0-6]|99)[0-9]{0,10}-[0-9A-Z]{1,30}-[0-9]{2}")
"""A Leitweg-ID with all of its three parts; the first begins with the code of a state, or 99."""


@dataclass(frozen=True, kw_only=True)
class Endpoint:
    """An electronic address and the code of its scheme."""

    scheme: str
    address: str


def read_endpoint(text: str, *, field: str) -> Endpoint | None:
    """Return an electronic address, None for an empty text; refuse what names no scheme."""
    plain = text.strip()
    if not plain:
        return None
    scheme, colon, address = plain.partition(":")
    found = Endpoint(scheme=scheme if colon else EMAIL, address=address.strip() if colon else plain)
    if found.scheme not in SCHEMES or not found.address:
        raise Invalid("not an electronic address", field=field, value=text[:60], allowed=ALLOWED)
    if found.scheme == EMAIL:
        try:
            validate_email(found.address)
        except ValidationError as wrong:
            raise Invalid("not an e-mail address", field=field, value=text[:60], allowed=ALLOWED) from wrong
    return found


def check_phone(text: str, *, field: str) -> None:
    """Refuse a phone number of fewer than three digits, as XRechnung does (BR-DE-27)."""
    if text.strip() and sum(letter.isdigit() for letter in text) < LEAST_DIGITS:
        raise Invalid(
            "not a phone number", field=field, value=text[:60], allowed=f"at least {LEAST_DIGITS} digits"
        )


def check_buyer_reference(text: str, *, field: str) -> None:
    """Refuse what looks like a Leitweg-ID and has wrong check digits; any other reference is the buyer's."""
    plain = text.strip().upper()
    if not LEITWEG.fullmatch(plain):
        return
    try:
        leitweg.validate(plain)
    except WrongNumber as wrong:
        raise Invalid(
            "the check digits of this Leitweg-ID are wrong", field=field, value=text[:60],
            allowed="a Leitweg-ID such as 991-03730-19, or other words such as order 04-2026-11",
        ) from wrong  # fmt: skip
