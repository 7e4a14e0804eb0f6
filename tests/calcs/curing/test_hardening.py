import doctest
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.curing.hardening
from calcs.asking.field_types import Habit
from calcs.asking.inputs import describe, read
from calcs.curing.curing import GlueUp, glue_times
from calcs.curing.hardening import hardening
from calcs.curing.hardening_inputs import Climate, Hardening, SheetPoint
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.materials.product_sheets import finish_classes, glue_classes

GLUES, FINISHES = glue_classes(), finish_classes()
HOUR = 3600
WARM = Decimal("21.11")
DAY_AT_10 = Climate(duration_s=24 * HOUR, temp_c=Decimal(10))


def joint(key="pva", temp=WARM, **more):
    return Hardening(glue=GLUES[key], temp_c=Decimal(temp), **more)


def coat(key="water-borne", temp=WARM, rh=50, **more):
    return Hardening(finish=FINISHES[key], temp_c=Decimal(temp), rh_pct=Decimal(rh), **more)


def stretch(hours, temp, rh=50):
    return Climate(duration_s=round(hours * HOUR), temp_c=Decimal(temp), rh_pct=Decimal(rh))


def steps(found):
    return {step.step: step for step in found.steps}


@pytest.mark.parametrize("key", GLUES)
def test_in_the_sheets_own_air_its_times_stand(key):
    found = hardening(joint(key, GLUES[key].ref_temp_c))
    for step in found.steps:
        sheet_s = getattr(GLUES[key], f"{step.step}_s")
        assert (step.need_s, step.earliest_s, step.likely_s, step.latest_s) == (sheet_s,) * 4
    assert not found.suspect and not found.paused and not found.warnings


@pytest.mark.parametrize("key", FINISHES)
def test_a_coat_in_the_sheets_own_air_takes_the_sheets_times(key):
    for step in hardening(coat(key, FINISHES[key].ref_temp_c)).steps:
        assert step.earliest_s == step.likely_s == step.latest_s == getattr(FINISHES[key], f"{step.step}_s")


def test_a_day_in_the_cold_leaves_the_rest_to_the_warm():
    glue = replace(GLUES["epoxy"], ref_temp_c=Decimal(20), min_temp_c=Decimal(5), rate_k=Decimal(5000))
    glue = replace(glue, unclamp_s=20 * HOUR)
    found = steps(hardening(Hardening(glue=glue, temp_c=Decimal(20), history=(DAY_AT_10,))))["unclamp"]
    left = 20 * HOUR * (100 - found.done_pct) / 100  # in the sheet's own air from now on
    assert found.likely_s == pytest.approx(24 * HOUR + left, abs=40)  # done is given to 0.1 %
    assert found.earliest_s < found.likely_s < found.latest_s


@given(st.decimals(min_value=16, max_value=40, places=1), st.sampled_from(["epoxy", "pva", "urea"]))
def test_likely_agrees_with_the_time_at_a_steady_temperature(temp, key):
    theirs = glue_times(GlueUp(glue=GLUES[key], temp_c=temp))
    for name, step in steps(hardening(joint(key, temp))).items():
        expected = getattr(theirs, f"{name}_s")
        assert step.likely_s == expected or abs(step.likely_s - expected) <= 1


@pytest.mark.parametrize("key", ["pva", "pva-type-i", "hide-liquid", "polyurethane"])
def test_cold_before_it_has_set_makes_a_joint_suspect(key):
    found = hardening(joint(key, 21, history=(stretch(0.2, 21), stretch(1, 5), stretch(1, 21))))
    assert found.suspect and not found.paused
    assert all(step.likely_s is None or step.likely_s <= 0.2 * HOUR for step in found.steps)
    assert "test it or redo it" in found.warnings[0]


def test_cold_after_it_has_set_only_does_not_count():
    found = hardening(joint("pva", 21, history=(stretch(5, 21), stretch(10, 5), stretch(1, 21))))
    assert not found.suspect
    assert steps(found)["machine"].likely_s == pytest.approx((24 + 10) * HOUR, abs=2)
    assert "does not count" in found.warnings[0]


def test_cold_on_the_forecast_is_told_before_it_comes():
    found = hardening(joint("pva", 21, history=(stretch(1, 21),), forecast=(stretch(2, 21), stretch(9, 5))))
    assert not found.suspect
    assert "will be" in found.warnings[0] and "keep it warm" in found.warnings[0]
    assert steps(found)["scrape_to"].likely_s == HOUR
    assert steps(found)["unclamp"].likely_s is None


@pytest.mark.parametrize("key", ["epoxy", "urea"])
def test_a_reaction_pauses_in_the_cold_and_goes_on(key):
    cold = hardening(joint(key, 5, history=(stretch(2, WARM), stretch(20, 5))))
    assert cold.paused and not cold.suspect
    waits = steps(cold)["unclamp"]
    assert (waits.likely_s, waits.latest_s) == (None, None)
    assert waits.earliest_s is not None  # no reaction stops at a sheet's figure
    assert waits.done_pct == Decimal("8.3")  # 2 h of 24
    again = hardening(joint(key, WARM, history=(stretch(2, WARM), stretch(20, 5))))
    assert not again.paused
    assert steps(again)["unclamp"].likely_s == pytest.approx(44 * HOUR, abs=2)


def test_a_film_below_its_least_temperature_while_wet_is_suspect():
    assert hardening(coat("water-borne", 8)).suspect
    later = hardening(coat("water-borne", 21, history=(stretch(3, 21), stretch(9, 8))))
    assert not later.suspect  # touch dry after an hour


def test_a_drying_oil_waits_in_the_cold_and_is_not_spoilt():
    found = hardening(coat("hard-wax-oil", 21, history=(stretch(10, 10),)))
    assert not found.suspect and not found.paused
    assert steps(found)["full"].done_pct == 0


# Common practice, no source: blush above 65 to 70 % RH.
@pytest.mark.parametrize("rh, said", [(60, ""), (66, "may blush"), (71, "blushes")])
@pytest.mark.parametrize("key", ["shellac", "lacquer"])
def test_humid_air_blushes_shellac_and_lacquer(key, rh, said):
    told = " ".join(hardening(coat(key, 21, rh)).warnings)
    assert (said in told) if said else not told


def test_humidity_after_the_film_is_dry_is_no_matter():
    found = hardening(coat("shellac", 21, history=(stretch(3, 22, 50),), forecast=(stretch(20, 22, 80),)))
    assert not found.warnings


def test_cold_wood_lags_and_lengthens():
    warm = joint("epoxy", 21, thickness_len=inches("7/4"), wood_c=Decimal(21))
    cold, thick = (
        replace(warm, wood_c=Decimal(16)),
        replace(warm, wood_c=Decimal(16), thickness_len=inches("7/2")),
    )
    times = [steps(hardening(each))["unclamp"].likely_s for each in (warm, cold, thick)]
    assert times[0] < times[1] < times[2] < times[0] + 5 * HOUR
    assert any("follows the air" in text for text in hardening(warm).source)
    assert not any("follows the air" in text for text in hardening(joint("epoxy", 21)).source)


def test_wood_as_warm_as_the_air_hardens_as_fast_however_thick_it_is():
    within = {"thickness_len": inches("7/4"), "wood_c": WARM}
    found = steps(hardening(joint("epoxy", WARM, history=(stretch(2, WARM),), **within)))["unclamp"]
    assert (found.done_pct, found.likely_s) == (Decimal("8.3"), 24 * HOUR)  # 2 h of 24


def test_at_its_least_temperature_a_reaction_goes_on():
    least = GLUES["epoxy"].min_temp_c
    assert not hardening(joint("epoxy", least)).paused
    assert hardening(joint("epoxy", least - Decimal("0.01"))).paused


def test_what_is_reached_as_the_cold_comes_is_reached():
    found = steps(hardening(joint("pva", 21, history=(stretch(1, 21), stretch(9, 5)))))
    assert (found["scrape_to"].likely_s, found["unclamp"].likely_s) == (HOUR, None)
    assert found["scrape_to"].latest_s is None, "a little colder than on the sheet it may take longer"


POINTS = (
    SheetPoint(step="unclamp", temp_c=Decimal(15), time_s=8 * HOUR),
    SheetPoint(step="unclamp", temp_c=Decimal(25), time_s=2 * HOUR),
)


def test_the_makers_own_points_shorten_between_them_and_only_there():
    times = {
        temp: steps(hardening(joint("pva", temp, points=POINTS)))["unclamp"].likely_s
        for temp in ("14", "15", "20", "25", "30")
    }
    assert (times["15"], times["25"], times["30"]) == (8 * HOUR, 2 * HOUR, 2 * HOUR)
    assert times["14"] > 8 * HOUR
    # half way in 1/T is close to half way in T: 4 h, by the mean of the logarithms
    assert times["20"] == pytest.approx(4 * HOUR, rel=0.02)
    found = hardening(joint("pva", "20", points=POINTS))
    assert any("15 °C" in note and "25 °C" in note for note in found.notes)
    assert "the maker's own points, as entered" in found.source[2]


@given(
    st.sampled_from(sorted(GLUES)),
    st.lists(
        st.builds(
            Climate,
            duration_s=st.integers(min_value=60, max_value=2 * 86400),
            temp_c=st.decimals(min_value=-5, max_value=40, places=1),
            rh_pct=st.decimals(min_value=5, max_value=95, places=0),
        ),
        max_size=5,
    ),
)
def test_the_range_is_in_order_and_never_before_the_sheet(key, history):
    found = hardening(joint(key, 25, history=tuple(history), thickness_len=inches(1)))
    for step in found.steps:
        known = [t for t in (step.earliest_s, step.likely_s, step.latest_s) if t is not None]
        assert known == sorted(known)
        if step.likely_s is not None:
            assert step.likely_s >= step.need_s


def test_cautions_name_their_source_and_defer_to_the_sheet():
    assert "isocyanates" in hardening(joint("polyurethane")).cautions[0]
    assert "catch fire" in hardening(coat("oil-varnish")).cautions[0]
    assert any("NFPA" in text for text in hardening(coat("oil-varnish")).source)
    assert any("Occup Environ Hyg" in text for text in hardening(joint("polyurethane")).source)
    for key in GLUES:
        assert "own sheet" in hardening(joint(key)).cautions[-1]


def test_wet_wood_and_dry_wood_are_told():
    assert "water slowly" in hardening(joint("pva", mc_pct=Decimal(12))).warnings[0]
    assert "8 to 12 %" in hardening(joint("polyurethane", mc_pct=Decimal(6))).warnings[0]
    assert not hardening(joint("pva", mc_pct=Decimal(7))).warnings


@pytest.mark.parametrize(
    "more, field, error",
    [
        ({}, "glue", Unreadable),
        ({"glue": GLUES["pva"], "finish": FINISHES["shellac"]}, "glue", Unreadable),
        ({"glue": GLUES["pva"], "temp_c": Decimal(61)}, "temp", OutOfRange),
        ({"glue": GLUES["pva"], "rh_pct": Decimal(0)}, "rh_pct", OutOfRange),
        ({"glue": GLUES["pva"], "mc_pct": Decimal(3)}, "mc_pct", OutOfRange),
        ({"glue": GLUES["pva"], "wood_c": Decimal(70)}, "wood", OutOfRange),
        ({"glue": GLUES["pva"], "thickness_len": 1}, "thickness", OutOfRange),
        ({"glue": GLUES["pva"], "points": POINTS[:1]}, "points", OutOfRange),
        ({"finish": FINISHES["shellac"], "points": POINTS}, "points[1].step", Unknown),
        ({"glue": "pva"}, "glue", Unknown),
    ],
)
def test_nonsense_is_refused(more, field, error):
    with pytest.raises(error) as caught:
        Hardening(**{"temp_c": WARM, **more})
    assert caught.value.field == field


def test_it_is_read_from_typed_text():
    typed = {
        "glue": "epoxy",
        "temp": "70 F",
        "history": "2 h, 60 F, 45; 3 h, 65 F",
        "points": "unclamp, 65 F, 10 h; unclamp, 80 F, 5 h",
        "thickness": "1 3/4",
    }
    asked = read(Hardening, typed, Habit())
    assert (
        asked.history[0] == Climate(duration_s=7200, temp_c=Decimal("15.56"), rh_pct=Decimal(45))
        and asked.history[1].rh_pct == 50
    )
    assert len(asked.points) == 2 and hardening(asked).steps
    assert {row["name"] for row in describe(Hardening)} >= {"glue", "finish", "temp", "history", "points"}


def test_docstring_examples():
    assert doctest.testmod(calcs.curing.hardening).failed == 0
