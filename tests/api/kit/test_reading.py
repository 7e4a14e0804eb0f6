"""Typed amounts over the API: one number in plain digits, whatever the field and the entrance."""

import pytest

from tests.api.client import head, refused
from tests.shop_fixtures import TOP

SIZES = {"length": "60", "width": "32", "thickness": "1 1/2", "species": "white oak"}


@pytest.mark.parametrize("typed, kilograms", [("5 lbs", 2.26796185), ("16 oz", 0.45359237)])
def test_a_load_takes_the_units_a_shop_types(api, typed, kilograms):
    asked = {**SIZES, "fittings": typed}
    read = api.post("calcs/weight/", asked).data["inputs"]["fittings"]["value"]
    assert float(read) == pytest.approx(kilograms)  # NIST SP 811 (2008): 1 lb = 16 oz = 0.45359237 kg


@pytest.mark.parametrize(
    "name, asked, field",
    [
        ("weight", {**SIZES, "fittings": "1 2 lb"}, "fittings"),
        ("weight", {**SIZES, "quantity": "1_0"}, "quantity"),
        ("weight", {**SIZES, "quantity": "٣"}, "quantity"),
        ("attachment", {"species": "walnut", "width": "32", "fixings": "4,16,28"}, "fixings"),
    ],
)
def test_an_amount_that_may_mean_two_things_is_refused_by_name(api, name, asked, field):
    error = refused(api.post(f"calcs/{name}/", asked), 422, "unreadable", field)
    assert error["allowed"] and error["value"] == asked[field]


def test_a_wood_outside_the_table_says_what_is_missing(api):
    asked = {**SIZES, "species": "ipe (not in the table)"}
    answer = api.post("calcs/weight/", asked)
    refused(answer, 422, "unknown", "species")
    assert "no figures for ipe in the table: coefficients and density missing" in str(answer.data)


@pytest.mark.parametrize("typed", ["1_0", "٣", "１２"])
def test_counts_are_plain_digits_wherever_they_are_sent(api, number, typed):
    before = head()
    refused(api.post(f"commissions/{number}/pieces/", {**TOP, "quantity": typed}), 422, "invalid", "quantity")
    clamps = {"kind": "clamp", "name": "Bar clamps", "reach": "40", "count": typed}
    refused(api.post("equipment/", clamps), 422, "invalid", "count")
    refused(api.get(f"commissions/?limit={typed}"), 422, "invalid", "limit")
    assert head() == before
