"""A glue-up that is computed as several clampings: page and API ask for a decision before it starts."""

from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from jobs.core.errors import Invalid, SeveralClampings
from jobs.domain import lookups
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.stages.clampings import several
from jobs.domain.stages.commands import start_stage
from jobs.domain.waits.route import RouteState
from jobs.log.commands import CommandResult
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Event, Person, Piece, Stage, Wait
from tests.api.client import Api
from tests.shop_fixtures import INCHES, TOP, Work, a_piece, good, measured, stage_of
from tests.web.conftest import at_the_glue
from tests.web.pages import Pages

WIDE = TOP | {"label": "Table top", "length": "96", "width": "42", "thickness": "1 3/4"}


@pytest.fixture
def wide(work: Work) -> Piece:
    """Return a wide walnut top, dry fitted for one glue-up, whose glue is then changed to a quick one."""
    piece = work.accepted(**WIDE, glue="epoxy")
    at_the_glue(work, piece)
    changed = change_piece(work.call(), piece=piece.number, units=INCHES, asked={"glue": "pva"})
    assert changed.notices == [
        "3 clampings are computed for 2026-001-1 now; its route stays as it was laid, change it by hand"
    ]
    return lookups.piece(piece.number)


NEEDED = "3 clampings computed for 2026-001-1, the route has one glue-up: 8 min 32 s needed for 6 joints"
STAGE = "pieces/2026-001-1/stages/glue-up/"


def begin(work: Work, piece: Piece, **more: Any) -> CommandResult:
    asked = {"measured": good(piece, "glue-up", "start"), "units": INCHES, **more}
    return start_stage(work.call(), piece=piece.number, stage="glue-up", **asked)


def test_the_page_names_figures_and_ways_out_before_the_start(wide: Piece, pages: Pages):
    page = pages.get(f"/{STAGE}")
    assert NEEDED in page.words and "4 min 52 s open" in page.words and "the dry fit took 2 min" in page.words
    form = page.form("/start/")
    change = f"/pieces/{wide.number}/change/"
    for way in (f"{change}#id_glue", f"{change}#id_route", "/shop/hands/"):
        assert f'href="{way}"' in page.text
    typed = {f"measured.{key}": value for key, value in good(wide, "glue-up", "start").items()}
    refused = pages.send_form(f"/{STAGE}", form, typed, status=409)
    assert "Decide how it is glued before you start." in refused.words and NEEDED in refused.words
    assert refused.form("/start/").typed["measured.shop_temperature"] == "20 C", "nothing typed is lost"
    assert stage_of(wide, "glue-up").step == Stage.Step.PLANNED and not Wait.objects.filter(kind="scrape")


def test_glued_in_one_go_with_a_reason_that_stays_on_record(wide: Piece, pages: Pages):
    typed = {f"measured.{key}": value for key, value in good(wide, "glue-up", "start").items()}
    typed["override.clampings"] = "four of us spread"
    pages.send(f"/{STAGE}", typed, to="/start/")
    assert stage_of(wide, "glue-up").step == Stage.Step.UNDER_WAY
    (event,) = Event.objects.filter(kind="stage_started", body__contains='"glue-up"')
    assert read(UUID(event.data["overrides"]["clampings"]["private"])) == "four of us spread"
    record = pages.get(f"/commissions/{wide.commission.number}/history/?all").words
    assert "clampings passed over: four of us spread" in record
    assert compare() == []


def test_the_api_refuses_with_the_figures_until_the_decision_is_sent(wide: Piece, owner: Person):
    api = Api(owner)
    (stage,) = [s for s in api.get(f"pieces/{wide.number}/").data["stages"] if s["key"] == "glue-up"]
    (figures,) = stage["clampings"]
    # Six joints in one go, 8:32 against 4:52 open: as a new user found it for this top.
    assert (figures["clampings"], figures["needed_s"], figures["open_s"]) == (3, 8 * 60 + 32, 4 * 60 + 52)
    assert figures["order"] == ["A + B + C makes A-C", "D + E + F makes D-F", "A-C + D-F + G makes A-G"]
    body = {"measured": good(wide, "glue-up", "start")}
    refused = api.post(f"{STAGE}start/", body)
    assert (refused.status_code, refused.data["code"]) == (409, "several-clampings")
    assert refused.data["clampings"] == [figures] and NEEDED in refused.data["detail"]
    assert refused.data["errors"][0]["pointer"] == "#/override/clampings"
    body["override"] = {"clampings": "four of us spread"}
    started = api.post(f"{STAGE}start/", body)
    assert started.status_code == 200
    (stage,) = [s for s in started.data["piece"]["stages"] if s["key"] == "glue-up"]
    assert "clampings" in stage["overrides"] and stage["clampings"] == []


def test_an_empty_decision_is_none(work: Work, wide: Piece):
    with pytest.raises(Invalid, match="needs a reason"):
        begin(work, wide, override={"clampings": "  "})


def test_a_slower_glue_or_the_route_with_sub_assemblies_needs_no_decision(work: Work, wide: Piece):
    with pytest.raises(SeveralClampings):
        begin(work, wide)
    change_piece(work.call(), piece=wide.number, units=INCHES, asked={"glue": "epoxy"})
    assert len(lookups.piece(wide.number).computed["gluing"]["result"]["stages"]) == 1
    begin(work, wide)
    other = work.accepted(**WIDE, route="edge-glued-sub-assemblies")
    work.do_until(other, "dry-fit")
    for key in ("glue-up-a", "glue-up-b", "glue-up"):
        assert several(RouteState(other), stage_of(other, key), at=work.now) == []


def test_without_several_clampings_nothing_is_asked(work: Work, owner: Person):
    small = work.accepted(**TOP | {"width": "12"})
    work.do_until(small, "dry-fit")
    (stage,) = [s for s in Api(owner).get(f"pieces/{small.number}/").data["stages"] if s["key"] == "glue-up"]
    assert stage["clampings"] == []
    begin(work, small)


PAIR = """
key = "pair"
title = "Glued together"
needs = ["length", "width", "thickness", "species", "glue"]

[[stage]]
key = "glue-up"
title = "Glue-up"
place = "clamps"
calcs = ["gluing"]
once_per = "commission"
"""


def test_sisters_that_are_glued_with_it_count_too(work: Work, settings: Any, tmp_path: Path):
    """The route glues once for the commission: the narrow piece asks for its wide sister."""
    (tmp_path / "pair.toml").write_text(PAIR)
    settings.ROUTES_DIR = tmp_path
    narrow = work.accepted(**WIDE | {"width": "12", "route": "pair"})
    sister = a_piece(work.call(), narrow.commission, **WIDE, route="pair")
    with pytest.raises(SeveralClampings, match=f"3 clampings computed for {sister.number}"):
        begin(work, narrow)
    begin(work, narrow, override={"clampings": "four of us spread"})


def test_the_ways_out_say_what_each_brings(wide: Piece, pages: Pages):
    """One more pair of hands: 20 + 8 x 98/12 / 2 = 52 2/3 s a joint, 316 s for six instead of 512."""
    page = pages.get(f"/{STAGE}")
    assert "One more pair of hands: 2 clampings, about 3 min more room" in page.words


def test_the_air_measured_now_counts_once_the_glue_up_can_begin(work: Work, pages: Pages):
    """Air of 28 °C and 25 % takes water 2.28 times as fast as that of the glue's sheet, 21 °C and 50 %.

    Saturation 3,782 and 2,488 Pa (ASHRAE Fundamentals 2017 ch. 1, table 3, from memory): 0.75 x 3,782 to
    0.5 x 2,488. So 300 s open become 132 s, of which 92 may pass. A joint takes 20 + 8 x 62/12 = 61 s: one
    joint in one go, where the usual air lets three.
    """
    narrow = work.accepted(**TOP | {"width": "17"}, glue="pva")
    at_the_glue(work, narrow)
    assert several(RouteState(narrow), stage_of(narrow, "glue-up"), at=work.now) == []
    reading = {"place": "shop", "at": work.now, "temperature": "28", "humidity": "25"}
    measured([reading], source="sensor-1", temperature_unit="C", now=work.now)
    (found,) = several(RouteState(narrow), stage_of(narrow, "glue-up"), at=work.now)
    assert found.clampings == 2 and 125 <= found.open_s <= 139
    page = pages.get(f"/pieces/{narrow.number}/stages/glue-up/")
    assert "in the air measured now (28 °C" in page.words or "in the air measured now (82" in page.words
    with pytest.raises(SeveralClampings):
        begin(work, narrow)
    screen = pages.get(f"/pieces/{narrow.number}/stages/glue-up/now/")
    assert f'data-allowed="{found.allowed_s}"' in screen.text
    assert "Open time in the air measured now" in screen.words
