from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.gluing import gluing
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.materials.product_sheets import glue_classes

GLUES = glue_classes()
TOP = GlueLines(
    strips_len=(inches(6),) * 6,
    length_len=inches(72),
    thickness_len=inches("7/4"),
    glue=GLUES["pva"],
    temp_c=GLUES["pva"].ref_temp_c,
)


# By hand: 5 joints x 72 x 1.75 in = 630 in² = 4.375 ft², at 50 lb/1000 ft² 0.21875 lb = 99.2 g; 40 slots of
# 1.5 mL at 1.1 kg/L are 66 g; a tenth to spare: 181.7 g, 165.2 mL, 5.6 fl oz.
def test_amount_by_hand():
    found = gluing(replace(TOP, slots=40))
    assert (found.glue_g, found.glue_ml, found.glue_fl_oz) == (Decimal(182), Decimal(165), Decimal("5.6"))
    # urea: 60-70 lb on both faces against 30-50 on one (reference, from memory): 70/50
    urea = replace(TOP, glue=GLUES["urea"], spare_pct=Decimal(0), temp_c=Decimal(22))
    one, both = (gluing(replace(urea, faces=faces)).glue_g for faces in ("one", "both"))
    assert float(both / one) == pytest.approx(70 / 50, rel=0.01)


# PVA: open 5 min, so 70 % is 210 s. A 6 ft joint: 20 s and 6 x 8 s, 68 s; 3 joints. 5 joints: two stages at
# least, and three in one stage leave two.
def test_stages_by_hand():
    found = gluing(TOP)
    assert (found.allowed_s, found.joint_s, found.all_s, found.joints_at_once) == (210, 68, 340, 3)
    assert [(s.joins, s.makes, s.round) for s in found.stages] == [
        (("A", "B", "C", "D"), "A-D", 1),
        (("A-D", "E", "F"), "A-F", 2),
    ]
    assert [(s.joints, s.width_len, s.assembly_s) for s in found.stages] == [
        (3, inches(24), 204),
        (2, inches(36), 136),
    ]
    assert found.stages[0].whole_s == 204 + 70  # (72 - 4)/12: 6 gaps, 7 clamps of 10 s
    # one round more: 24 h till it may be machined (class table)
    assert (found.rounds, found.extra_wait_s, found.extra_one_set_s) == (2, 86400, 86400)
    assert not found.one_go


def test_planer_and_jointer_limit_the_sub_assemblies():
    found = gluing(replace(TOP, planer_len=inches(20), jointer_len=inches(16)))
    assert [s.makes for s in found.stages] == ["A-B", "C-D", "A-F"]
    assert len(found.stages) == 3  # no two stages: three joints in one would be four strips, 24 in
    assert found.extra_one_set_s == 86400 + 4 * 3600  # and the second of the first round waits 4 h for clamps


# 12 strips of 6 in, at most 3 joints at once: the last stage joins 4 pieces at most, so one is of 3 strips,
# 18 in. By the open time alone, with 11 joints: 4 stages.
def test_machines_too_narrow_are_told_and_the_stages_are_given_by_the_time():
    wide = replace(TOP, strips_len=(inches(6),) * 12)
    found = gluing(replace(wide, planer_len=inches(15), jointer_len=inches(8)))
    jointer, planer = found.warnings
    assert jointer.startswith('jointer 8" (203.2 mm) is too narrow') and "standing on edge" in jointer
    assert planer.startswith('planer 15" (381 mm) is too narrow') and "flattened by hand" in planer
    assert all('3 joints at once: at least 18" (457.2 mm)' in each for each in found.warnings)
    assert replace(found, warnings=(), remedies=gluing(wide).remedies) == gluing(wide)
    assert len(found.stages) == 4


def test_stages_keep_within_the_planer_where_only_the_jointer_is_too_narrow():
    wide = replace(TOP, strips_len=(inches(6),) * 12, planer_len=inches(20))
    found = gluing(replace(wide, jointer_len=inches(8)))
    assert [text.split()[0] for text in found.warnings] == ["jointer"]
    assert max(stage.width_len for stage in found.stages[:-1]) <= inches(20)
    assert found.stages == gluing(wide).stages


# 84 x 36 x 1 1/2 in of six strips: 5 joints x 84 x 1.5 = 630 in², as by hand above 99.2 g, 109 with a tenth.
def test_a_table_top_in_a_shop_with_an_eight_inch_jointer_gets_its_amount_and_times():
    found = gluing(replace(TOP, length_len=inches(84), thickness_len=inches("3/2"), jointer_len=inches(8)))
    assert (found.glue_g, found.allowed_s, found.joint_s) == (Decimal(109), 210, 76)  # 20 + 7 x 8 s
    assert found.stages[-1].makes == "A-F" and len(found.warnings) == 1


def test_a_timed_dry_fit_goes_before_the_pace():
    # 5 joints in 200 s: 40 s each, 210/40 = 5.25: all at once
    found = gluing(replace(TOP, dry_fit_s=200))
    assert found.one_go and found.extra_wait_s == 0 and found.all_s == 200
    # 70 % of 5 min is 210 s: one second more and it is two stages
    assert gluing(replace(TOP, dry_fit_s=210)).one_go
    assert not gluing(replace(TOP, dry_fit_s=211)).one_go


def test_closed_time_counts_the_clamps():
    # 10 min closed, 200 s to join, 7 clamps of 60 s: 620 s is too long
    assert gluing(replace(TOP, dry_fit_s=200, per_clamp_s=57)).one_go  # 599 s
    assert not gluing(replace(TOP, dry_fit_s=200, per_clamp_s=60)).one_go


def test_dry_air_asks_for_more_stages():
    assert gluing(replace(TOP, rh_pct=Decimal(30))).joints_at_once == 2  # 5/7 of 210 s is 150 s
    assert any("71 % of the sheet's" in note for note in gluing(replace(TOP, rh_pct=Decimal(30))).notes)


def test_a_glue_too_quick_for_one_joint_is_refused_with_what_would_do():
    top = replace(TOP, glue=GLUES["pva-type-ii"], length_len=inches(240))
    with pytest.raises(OutOfRange) as caught:  # open 3 min: 126 s; one joint 180 s, 258 s or 5 min open
        gluing(top)
    assert caught.value.field == "glue" and "5 min" in caught.value.allowed


def test_over_eight_feet_wants_a_second_pair_of_hands():
    assert gluing(replace(TOP, length_len=inches(96))).warnings == ()
    long = replace(TOP, length_len=inches(97))
    assert any("second pair of hands" in text for text in gluing(long).warnings)
    assert gluing(replace(long, people=2)).warnings == ()


@given(st.lists(st.integers(inches(2), inches(8)), min_size=2, max_size=12).map(tuple), st.integers(60, 900))
def test_every_stage_keeps_within_the_open_time(strips, dry_fit):
    found = gluing(replace(TOP, strips_len=strips, dry_fit_s=dry_fit * (len(strips) - 1) // 5 + 1))
    assert all(
        stage.assembly_s <= found.allowed_s and stage.whole_s <= found.closed_s for stage in found.stages
    )
    assert sum(stage.joints for stage in found.stages) == len(strips) - 1
    assert abs(sum(stage.glue_ml for stage in found.stages) - found.glue_ml) <= len(found.stages)
    assert found.stages[-1].width_len == sum(strips)


def test_cautions_follow_the_glue():
    top = replace(TOP, glue=GLUES["polyurethane"])
    assert any("isocyanates" in text for text in gluing(top).cautions)
    assert not any("isocyanates" in text for text in gluing(TOP).cautions)


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"strips_len": (inches(6),)}, "strips", OutOfRange),
        ({"strips_len": (inches(6), 0)}, "strips[2]", OutOfRange),
        ({"strips_len": inches(6)}, "strips", Unreadable),
        ({"length_len": 0}, "length", OutOfRange),
        ({"thickness_len": inches(13)}, "thickness", OutOfRange),
        ({"glue": "pva"}, "glue", Unknown),
        ({"faces": "three"}, "faces", Unknown),
        ({"slots": -1}, "slots", OutOfRange),
        ({"per_slot_ml": Decimal(51)}, "per_slot", OutOfRange),
        ({"spare_pct": Decimal(101)}, "spare_pct", OutOfRange),
        ({"temp_c": Decimal(61)}, "temp", OutOfRange),
        ({"rh_pct": Decimal(0)}, "rh_pct", OutOfRange),
        ({"per_foot_s": 0}, "per_foot", OutOfRange),
        ({"dry_fit_s": 0}, "dry_fit", OutOfRange),
        ({"people": 0}, "people", OutOfRange),
        ({"planer_len": inches(3)}, "planer", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed


def test_below_the_sheets_minimum_nothing_is_glued():
    with pytest.raises(OutOfRange) as caught:
        gluing(replace(TOP, temp_c=Decimal(10)))
    assert caught.value.field == "temp"
