from dataclasses import asdict
from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.materials.product_sheets import (
    FINISH_FAMILIES,
    GLUE_FAMILIES,
    finish_classes,
    finish_from,
    glue_classes,
    glue_from,
)


# Common practice, no source: the trade's defaults for PVA at 70 °F and for full cure without a sheet.
def test_trade_defaults():
    pva = glue_classes()["pva"]
    assert (pva.scrape_from_s, pva.scrape_to_s) == (10 * 60, 60 * 60)
    assert (pva.unclamp_s, pva.machine_s, pva.surface_s) == (4 * 3600, 24 * 3600, 5 * 86400)
    finishes = finish_classes()
    days = {
        key: finishes[key].full_s / 86400
        for key in ("water-borne", "oil-varnish", "hard-wax-oil", "two-part")
    }
    # hard wax oil: 14 by habit, and 14 to 21 for water and heat; the longer stands.
    assert days == {"water-borne": 21, "oil-varnish": 30, "hard-wax-oil": 21, "two-part": 7}


def test_every_family_has_a_class_and_every_figure_a_source():
    assert {glue.family for glue in glue_classes().values()} == set(GLUE_FAMILIES)
    assert {finish.family for finish in finish_classes().values()} == set(FINISH_FAMILIES)
    for sheet in [*glue_classes().values(), *finish_classes().values()]:
        assert set(sheet.source) == set(asdict(sheet)) - {"source"}
        assert all(sheet.source.values())
        assert "shop's own" not in "".join(sheet.source.values())


def test_drying_oils_heat_their_rags():
    # NFPA tips on oily rags: linseed and other drying oils, oil varnishes and their mixes.
    hot = {key for key, finish in finish_classes().items() if finish.self_heating}
    assert hot == {"oil-varnish", "oil-polyurethane", "hard-wax-oil", "penetrating-oil"}


@pytest.mark.parametrize("key", glue_classes())
def test_a_glue_sheet_reads_back(key):
    glue = glue_classes()[key]
    again = glue_from(asdict(glue))
    assert again == glue
    assert dict(again.source) == dict(glue.source)


@pytest.mark.parametrize("key", finish_classes())
def test_a_finish_sheet_reads_back(key):
    assert finish_from(asdict(finish_classes()[key])) == finish_classes()[key]


def glue(**changes):
    """A short test sheet as JSON would give it."""
    sheet = {
        "key": "quick",
        "name": "Quick test glue",
        "family": "pva",
        "water_based": True,
        "open_s": 1,
        "closed_s": 1,
        "scrape_from_s": "5 s",
        "scrape_to_s": 10,
        "unclamp_s": "20 s",
        "machine_s": "20 s",
        "surface_s": "20 s",
        "full_s": "20 s",
        "ref_temp_c": 21,
        "min_temp_c": "10",
        "max_temp_c": 30.5,
        "spread_g_m2": "200",
    }
    return {name: value for name, value in {**sheet, **changes}.items() if value is not ...}


def test_a_makers_own_sheet_is_read():
    sheet = glue_from(glue())
    assert (sheet.unclamp_s, sheet.scrape_from_s, sheet.max_temp_c) == (20, 5, Decimal("30.5"))
    assert (sheet.rate_k, sheet.shelf_life_d) == (None, None)
    assert sheet.source["unclamp_s"] == "the shop's own entry from the product's sheet"


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"open_s": ...}, "open_s", Unreadable),
        ({"open_s": 0}, "open_s", OutOfRange),
        ({"open_s": -5}, "open_s", OutOfRange),
        ({"open_s": "20"}, "open_s", Unreadable),  # a duration in text needs its unit
        ({"open_s": 1.5}, "open_s", Unreadable),
        ({"open_s": True}, "open_s", Unreadable),
        ({"full_s": 10**12}, "full_s", OutOfRange),
        ({"closed_s": 1, "open_s": 2}, "closed_s", OutOfRange),
        ({"scrape_to_s": 5}, "scrape_to_s", OutOfRange),
        ({"scrape_to_s": None}, "scrape_to_s", Unreadable),
        ({"machine_s": 19}, "machine_s", OutOfRange),
        ({"surface_s": 19}, "surface_s", OutOfRange),
        ({"full_s": 19}, "full_s", OutOfRange),
        ({"min_temp_c": "22"}, "ref_temp_c", OutOfRange),
        ({"max_temp_c": "20"}, "max_temp_c", OutOfRange),
        ({"max_temp_c": "NaN"}, "max_temp_c", Unreadable),
        ({"max_temp_c": "warm"}, "max_temp_c", Unreadable),
        ({"max_temp_c": "1e40"}, "max_temp_c", Unreadable),
        ({"max_temp_c": [30]}, "max_temp_c", Unreadable),
        ({"rate_k": "5000"}, "rate_k", OutOfRange),
        ({"spread_g_m2": "0"}, "spread_g_m2", OutOfRange),
        ({"shelf_life_d": 0}, "shelf_life_d", OutOfRange),
        ({"family": "glue gun"}, "family", Unknown),
        ({"key": "Not A Key"}, "key", Unreadable),
        ({"name": "  "}, "name", Unreadable),
        ({"name": "x\x00"}, "name", Unreadable),
        ({"water_based": "perhaps"}, "water_based", Unreadable),
        ({"colour": "yellow"}, "field of the sheet", Unknown),
        ({"source": {"colour": "x"}}, "source", Unknown),
        ({"source": ["x"]}, "source", Unreadable),
    ],
)
def test_a_glue_sheet_with_a_mistake_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        glue_from(glue(**changes))
    assert caught.value.field == field


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"recoat_to_s": 1}, "recoat_to_s", OutOfRange),
        ({"recoat_from_s": 1}, "recoat_from_s", OutOfRange),
        ({"full_s": 3600}, "full_s", OutOfRange),
        ({"rh_max_pct": "101"}, "rh_max_pct", OutOfRange),
        ({"coverage_m2_per_l": "0"}, "coverage_m2_per_l", OutOfRange),
        ({"volume_solids_pct": "0"}, "volume_solids_pct", OutOfRange),
        ({"sealing_coats": 0}, "sealing_coats", OutOfRange),
        ({"build_coats": 21}, "build_coats", OutOfRange),
        ({"film": None}, "film", Unreadable),
        ({"family": "paint"}, "family", Unknown),
    ],
)
def test_a_finish_sheet_with_a_mistake_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        finish_from({**asdict(finish_classes()["water-borne"]), **changes})
    assert caught.value.field == field


def test_an_unknown_choice_lists_the_nearest():
    with pytest.raises(Unknown) as caught:
        glue_from(glue(family="epoxi"))
    assert caught.value.allowed == "epoxy"
