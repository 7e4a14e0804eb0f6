"""The route templates that come with the service: each expands by its facts and can be worked to its end."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.staging import fewest
from jobs.core.errors import Invalid
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.routes import Choices, Clamping, expand, read_route
from jobs.domain.routes.schema import FACTS, HERE
from jobs.domain.stock.product_sheets import product
from jobs.models import Stage, Wait
from tests.shop_fixtures import QUICK, a_price, issue_checklist, stage_of, the_paper

pytestmark = pytest.mark.takes(15)

FILES = {p.stem: p for p in sorted(HERE.glob("*.toml")) if p.stem != "cautions"}
OIL = {"glue": "quick-glue", "finish_face": "quick-oil"}
WALKED = {
    "edge-glued-film": {**QUICK, "mark": "before finishing"},
    "edge-glued-stiffened": {**QUICK, "mark": "after finishing"},
    "edge-glued-breadboard": QUICK,
    "edge-glued-sub-assemblies": QUICK,
    "small-furniture": {**OIL, "mark": "after finishing"},
}
SIZE = {"length": "60", "width": "30", "thickness": "1 1/2", "species": "black walnut"}


def test_every_file_is_walked_below_or_in_the_long_story():
    assert set(WALKED) | {"edge-glued-oil", "free-list"} == set(FILES)


@pytest.mark.parametrize("name", FILES)
def test_it_can_be_laid_for_any_facts_and_moves_the_commission_on(name):
    route = read_route(FILES[name])
    assert route.key == name
    for facts in (c for n in range(len(FACTS) + 1) for c in combinations(sorted(FACTS), n)):
        for coats in ((1, 0), (3, 2)):
            counts = dict(zip(("sealing_coats", "build_coats"), coats, strict=True))
            stages = expand(route, Choices(facts=frozenset(facts), counts=counts, own=("One",)))
            keys = [s["key"] for s in stages]
            assert [s["marks"] for s in stages if s["marks"]] == ["ready", "delivered", "closed"]
            assert [s["key"] for s in stages if not s["after"]] == ["survey"], (
                "all else comes after something"
            )
            ends = set(keys) - {k for s in stages for k in s["after"]}
            assert ends == {"close"}, "nothing is left lying beside the way to the end"
            named = {k for s in stages for w in s["waits"] for k in (w["since"], *w["holds"])}
            assert named <= set(keys)


@given(st.integers(3, 20), st.integers(1, 4), st.booleans())
def test_any_plan_of_clampings_can_be_laid_on_every_template_that_glues_strips(strips, at_once, planed):
    """Each sub-assembly is ready before it is joined, and nothing is left lying beside the way to the end."""
    plan = fewest((1,) * strips, at_once=at_once, widest_len=None)
    named = {(n, n + 1): str(n) for n in range(strips)} | {c.span: f"{c.span[0]}-{c.span[1]}" for c in plan}
    clampings = tuple(
        Clamping(
            number=n, of=len(plan), joins=tuple(named[p] for p in c.parts), makes=named[c.span], planed=planed
        )
        for n, c in enumerate(plan, 1)
    )
    for route in (read_route(path) for path in FILES.values()):
        if not route.in_clampings:
            continue
        counts = {"sealing_coats": 1, "build_coats": 1}
        stages = expand(route, Choices(facts=frozenset(), counts=counts, clampings=clampings))
        before: dict[str, set[str]] = {}
        for stage in stages:
            before[stage["key"]] = set(stage["after"]).union(*(before[k] for k in stage["after"]))
        assert set(before) - {k for s in stages for k in s["after"]} == {"close"}
        ups = {c.makes: f"glue-up-{c.number}" if c.number < len(plan) else "glue-up" for c in clampings}
        for clamping in clampings:
            for part in set(clamping.joins) & set(ups):
                assert ups[part] in before[ups[clamping.makes]]
                assert ups[part].replace("glue-up", "cure-off") in before[ups[clamping.makes]]


@pytest.mark.parametrize("name", sorted(FILES))
def test_every_limit_says_where_it_comes_from(name):
    for stage in read_route(FILES[name]).stages:
        for gate in stage.get("gates", []):
            assert gate.get("source") or not ("least" in gate or "most" in gate), (stage["key"], gate["key"])
        for wait in stage.get("waits", []):
            assert wait.get("source") or "clock" in wait, (stage["key"], wait["kind"])


def order(name, *facts, coats=(2, 1)):
    counts = dict(zip(("sealing_coats", "build_coats"), coats, strict=True))
    return [s["key"] for s in expand(read_route(FILES[name]), Choices(facts=frozenset(facts), counts=counts))]


def test_oil_is_wiped_off_after_each_coat_and_no_grain_is_raised_unless_it_is_water_borne():
    keys = order("edge-glued-oil", "self_heating")
    assert keys[keys.index("seal-1") : keys.index("full-cure")] == [
        "seal-1", "wipe-seal-1", "scuff-seal-2", "seal-2", "wipe-seal-2",
        "scuff-build-1", "build-1", "wipe-build-1",
    ]  # fmt: skip
    assert "raise-grain" not in keys and "raise-grain" in order("edge-glued-oil", "water_borne")


def test_recesses_come_before_the_face_is_finished():
    keys = order("edge-glued-stiffened")
    assert keys.index("stiffeners") < keys.index("fit-stiffeners") < keys.index("sand") < keys.index("seal-1")
    assert keys.index("full-cure") < keys.index("refit") < keys.index("final-check")


@pytest.mark.django_db
def test_oil_has_a_window_to_be_wiped_off_in(work):
    piece = work.accepted(**SIZE, **OIL, route="edge-glued-oil", label="Desk top")
    work.do_until(piece, "seal-1")
    window = Wait.objects.get(kind="wipe").estimate
    assert [m.total_seconds() / 60 for m in (window.ready_at - work.now, window.closes_at - work.now)] == [
        10,
        30,
    ]


@pytest.mark.django_db
def test_a_finish_that_leaves_a_film_is_not_wiped_off(work):
    with pytest.raises(Invalid) as refused:
        work.accepted(**SIZE, **QUICK, route="edge-glued-oil", label="Desk top")
    assert refused.value.field == "finish_face"
    assert "penetrating-oil" in refused.value.allowed and "shellac" not in refused.value.allowed


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(FILES))
def test_the_finish_of_a_piece_that_names_none_fits_its_route(work, name):
    piece = work.accepted(**SIZE, route=name, label="Made to order", stages=["Made"])
    finish = product("finish", piece.inputs["finish_face"]).finish
    assert read_route(FILES[name]).film in (None, finish.film)
    assert piece.inputs["finish_under"] == piece.inputs["finish_face"]


@pytest.mark.django_db
@pytest.mark.parametrize("name", WALKED)
def test_it_can_be_walked_from_the_survey_to_the_end(work, name):
    piece = work.accepted(**SIZE, **WALKED[name], route=name, label="Made to order")
    commission = piece.commission
    a_price(work.call(), commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=commission.number)
    work.do(piece, "deliver")
    invoice = the_paper(issue_invoice(work.call(), commission=commission.number))
    record_payment(work.call(), commission=commission.number, amount=invoice.invoice.due)
    work.do(piece, "paid", "close")
    commission.refresh_from_db()
    assert commission.step == "closed"
    assert set(piece.stages.values_list("step", flat=True)) == {Stage.Step.DONE}
    assert not Wait.objects.filter(step=Wait.Step.RUNNING).exists()
    assert stage_of(piece, "close").minutes is None, "it ended by itself"
