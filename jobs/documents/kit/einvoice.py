"""An invoice or credit note as XML: inside its PDF, or as a bare file in one of the two syntaxes of EN 16931.

The library writes both syntaxes from the same business terms and checks them against their schemas.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from typing import Any

from jobs.core.errors import NotYet
from jobs.documents.kit.einvoice_terms import terms
from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.pdf_data import Data
from jobs.domain.billing.invoice_data import gaps, xrechnung_gaps
from jobs.models import Paper

CII, UBL = "CII", "UBL"
"""UN/CEFACT Cross Industry Invoice D16B, and OASIS Universal Business Language 2.1."""
SYNTAXES = (CII, UBL)
CORE = "urn:cen.eu:en16931:2017"
XRECHNUNG = f"{CORE}#compliant#urn:xeinkauf.de:kosit:xrechnung_3.0"
"""BT-24 of the German rules, KoSIT XRechnung 3.0."""


def data_of(frozen: Frozen) -> Data | None:
    """Return the data for the PDF; None for other papers, and where a required term is missing."""
    if not has_data(frozen) or gaps(frozen):
        return None
    issued = datetime.combine(date.fromisoformat(frozen["issued_on"]), time(), tzinfo=UTC)
    return Data(xml=cii(frozen), at=issued)


def has_data(frozen: Frozen) -> bool:
    """Return whether a paper is one that bookkeeping reads as data."""
    return frozen["kind"] in (Paper.INVOICE, Paper.CREDIT) and bool(frozen["number"])


def cii(frozen: Frozen) -> bytes:
    """Return the XML inside the PDF: CII, the profile EN 16931 of Factur-X."""
    return _written(CII, terms(frozen))


def bare(frozen: Frozen, syntax: str) -> bytes:
    """Return the invoice as a bare file: XRechnung where a German shop has all it asks.

    Raises
    ------
    NotYet
        Where a term that EN 16931 requires is missing; it names them.
    """
    if lacking := gaps(frozen):
        raise NotYet(
            f"the data of {frozen['number']} lack {', '.join(map(str, lacking))}",
            field="paper", value=frozen["number"], allowed="an invoice that was issued with them",
        )  # fmt: skip
    german = is_xrechnung(frozen)
    xml = _written(syntax, terms(frozen, german=german))
    before, after = (f">{name}<".encode() for name in (CORE, XRECHNUNG))
    return xml.replace(before, after, 1) if german else xml


def is_xrechnung(frozen: Frozen) -> bool:
    """Return whether the bare file follows the German rules too."""
    return not xrechnung_gaps(frozen)


def _written(syntax: str, found: dict[str, Any]) -> bytes:
    from facturx import generate_cii_xml, generate_ubl_xml

    write: Callable[..., bytes] = generate_cii_xml if syntax == CII else generate_ubl_xml
    return write(found, level="en16931", check_xsd=True, check_schematron=None)
