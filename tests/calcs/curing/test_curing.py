from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.curing.curing import CoatOn, GlueUp, coat_times, finish_classes, glue_classes, glue_times
from calcs.kit.errors import OutOfRange, Unreadable

STEPS = ("scrape_from_s", "scrape_to_s", "unclamp_s", "machine_s", "surface_s", "full_s")
PVA, EPOXY, UREA = (glue_classes()[key] for key in ("pva", "epoxy", "urea"))
POLYURETHANE = glue_classes()["polyurethane"]
VARNISH = finish_classes()["water-borne"]


def steps(times):
    return tuple(getattr(times, step) for step in STEPS)


def test_at_the_sheets_temperature_the_sheets_times_stand():
    times = glue_times(GlueUp(glue=PVA, temp_c=PVA.ref_temp_c))
    assert steps(times) == (600, 3600, 14400, 86400, 432000, 86400)
    assert (times.suspect, times.paused, times.reason) == (False, False, "")
    assert any("common practice, no source" in text for text in times.source)


@pytest.mark.parametrize(
    "glue", [PVA, glue_classes()["hide-liquid"], POLYURETHANE], ids=lambda glue: glue.key
)
def test_below_its_minimum_a_joint_without_a_rate_law_is_suspect(glue):
    times = glue_times(GlueUp(glue=glue, temp_c=glue.min_temp_c - Decimal("0.01")))
    assert steps(times) == (None,) * 6
    assert times.suspect and not times.paused
    assert "test it or redo it" in times.reason and glue.name in times.reason


@pytest.mark.parametrize("glue", [EPOXY, UREA], ids=lambda glue: glue.key)
def test_below_its_minimum_a_reaction_pauses(glue):
    times = glue_times(GlueUp(glue=glue, temp_c=glue.min_temp_c - Decimal("0.01")))
    assert steps(times) == (None,) * 6
    assert times.paused and not times.suspect


def test_pva_colder_but_allowed_keeps_its_times_and_says_so():
    times = glue_times(GlueUp(glue=PVA, temp_c=PVA.min_temp_c))
    assert steps(times) == steps(glue_times(GlueUp(glue=PVA, temp_c=PVA.ref_temp_c)))
    assert "no rate law is in print" in times.reason


@given(
    st.sampled_from(list(glue_classes().values())),
    st.decimals(min_value=-20, max_value=60, places=2),
    st.decimals(min_value=-20, max_value=60, places=2),
)
def test_warmth_never_shortens_a_sheet_and_cold_never_shortens_it_more(glue, one, other):
    cold, warm = (glue_times(GlueUp(glue=glue, temp_c=temp)) for temp in sorted((one, other)))
    for step in STEPS:
        sheet, later, sooner = getattr(glue, step), getattr(cold, step), getattr(warm, step)
        if later is not None and sheet is not None:
            assert later >= sooner >= sheet


def test_hot_shops_are_warned():
    times = glue_times(GlueUp(glue=PVA, temp_c=Decimal(35)))
    assert "open time is shorter" in times.reason


@pytest.mark.parametrize(
    "temp, error", [(Decimal(61), OutOfRange), (Decimal("NaN"), Unreadable), (20.0, Unreadable)]
)
def test_a_joint_wants_a_temperature(temp, error):
    with pytest.raises(error) as caught:
        GlueUp(glue=PVA, temp_c=temp)
    assert caught.value.field == "temp"


def test_a_coat_inside_its_sheet_has_the_sheets_times():
    times = coat_times(CoatOn(finish=VARNISH, temp_c=Decimal(22), rh_pct=Decimal(50)))
    assert (times.recoat_from_s, times.recoat_to_s, times.light_use_s) == (4 * 3600, 8 * 3600, 24 * 3600)
    assert times.full_s == 21 * 86400
    assert times.warnings == ()
    assert times.source[0].startswith("recoat_from_s: 2 to 4 h at 70 degF, 50 % RH")


def test_a_coat_colder_than_its_figures_is_warned():
    times = coat_times(CoatOn(finish=VARNISH, temp_c=Decimal(16), rh_pct=Decimal(50)))
    assert "try the film" in times.warnings[0]


@pytest.mark.parametrize(
    "temp, rh, field", [("12", "50", "temp"), ("33", "50", "temp"), ("20", "71", "rh_pct")]
)
def test_air_outside_the_sheet_is_refused_unless_allowed(temp, rh, field):
    coat = CoatOn(finish=VARNISH, temp_c=Decimal(temp), rh_pct=Decimal(rh))
    with pytest.raises(OutOfRange) as caught:
        coat_times(coat)
    assert caught.value.field == field and " to " in caught.value.allowed
    times = coat_times(replace(coat, allow=True))
    assert len(times.warnings) == 1 and "may not hold" in times.warnings[0]


def test_a_coat_wants_a_humidity():
    with pytest.raises(OutOfRange) as caught:
        CoatOn(finish=VARNISH, temp_c=Decimal(20), rh_pct=Decimal(101))
    assert (caught.value.field, caught.value.allowed) == ("rh_pct", "0 to 100")
