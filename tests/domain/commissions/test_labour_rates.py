"""The shop's labour rates: learned from finished jobs, offered, and applied only on request."""

from dataclasses import replace
from decimal import Decimal

import pytest

from jobs.core.errors import Invalid, NotYet
from jobs.domain.commissions.labour_rates import LEAST_JOBS, offered, rates
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.papers.issuing import withdraw_paper
from jobs.domain.papers.staleness import is_stale
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quoted_hours import own_rates, quoted_against_actual
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.stages.rework import redo_stage
from jobs.domain.workshop.commands import set_shop
from jobs.models import Offer, Paper, Piece, Stage
from tests.domain.commissions.test_hours import timed
from tests.shop_fixtures import (
    INCHES,
    SHORT,
    Work,
    a_client,
    a_commission,
    a_piece,
    issue_job_sheet,
    the_paper,
)

pytestmark = [pytest.mark.django_db, pytest.mark.takes(16)]


def a_job(work: Work, *, flatten: int, survey: int = 30, **asked: str) -> Piece:
    """Return a piece of 18 square feet, six feet by three, that was flattened in these minutes."""
    piece = work.accepted(**SHORT | {"length": "72", "width": "36"} | asked)
    minutes = {"survey": survey, "glue-up": 60, "scrape": 5, "clamps-off": 15, "flatten": flatten}
    timed(work, piece, minutes)
    return piece


def enquired(work: Work, **asked: str) -> Piece:
    given = SHORT | {"length": "72", "width": "36"} | asked
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **given)


def quote_for(work: Work, piece: Piece, **more: object) -> Offer:
    draft_quote(work.call(), commission=piece.commission.number, **more)
    return Offer.objects.get(commission=piece.commission)


@pytest.mark.both_databases
def test_a_rate_is_the_median_of_jobs_by_what_drives_it(work: Work):
    """18 sq ft in 90, 36 and 54 min: 5, 2 and 3 min a square foot; by hand, the middle is 3."""
    for minutes in (90, 36, 54):
        a_job(work, flatten=minutes)
    flatten = rates()["flatten"]
    assert (flatten.per, flatten.jobs) == ("square foot", 3)
    assert (flatten.median, flatten.least, flatten.most) == (3, 2, 5)
    assert rates()["survey"].per == "piece"


def test_a_glue_up_in_three_clampings_closes_its_joints_once(work: Work):
    """Seven strips, six joints: A-C and D-F close two each, the last two more; 60 min are 10 min a joint."""
    wide = {
        "length": "96",
        "width": "42",
        "thickness": "1 3/4",
        "label": "Table top",
        "species": "black walnut",
    }
    piece = work.accepted(**wide)
    work.do_until(piece, "joinery")
    for key in ("glue-up-1", "glue-up-2", "glue-up"):
        work.do_until(piece, key)
    piece.stages.filter(key__startswith="glue-up").update(step=Stage.Step.DONE, minutes=20)
    glue_up = rates()["glue-up"]
    assert (glue_up.title, glue_up.per, glue_up.median) == ("Glue-up", "joint", 10)
    (told,) = [one for one in offered(piece, {"glue-up": replace(glue_up, jobs=3)})]
    assert (told["amount"], told["minutes"]) == (6, 60)


def test_a_larger_piece_is_offered_more(work: Work):
    """3 min a square foot: 36 square feet take 108 min."""
    for minutes in (90, 36, 54):
        a_job(work, flatten=minutes)
    found = {one["kind"]: one for one in offered(enquired(work, length="144"), rates())}
    assert (found["flatten"]["minutes"], found["flatten"]["least"], found["flatten"]["most"]) == (
        108,
        72,
        180,
    )
    assert found["survey"]["minutes"] == 30
    assert "seal" not in found, "no job has come so far"


def test_two_jobs_are_no_rate_yet_and_two_pieces_of_one_commission_are_one_job(work: Work):
    first = a_job(work, flatten=90)
    sister = a_piece(work.call(), first.commission, **SHORT)
    timed(work, sister, {"survey": 10})
    a_job(work, flatten=36)
    assert rates()["survey"].jobs == 2 < LEAST_JOBS
    piece = enquired(work)
    assert offered(piece, rates()) == []
    with pytest.raises(NotYet) as refused:
        quote_for(work, piece, own_hours=[piece.number])
    assert refused.value.field == "own_hours"
    assert [r["is_offered"] for r in own_rates()] == [False] * len(own_rates())


def test_a_job_counts_once_all_its_stages_of_a_kind_are_done(work: Work):
    piece = a_job(work, flatten=90)
    sister = a_piece(work.call(), piece.commission, **SHORT)
    assert "flatten" not in rates(), "its sister is not flat"
    redo_stage(work.call(), piece=piece.number, stage="flatten", reason="it cupped")
    timed(work, piece, {"flatten": 18})
    timed(work, sister, {"survey": 30, "glue-up": 60, "scrape": 5, "clamps-off": 15, "flatten": 25})
    flatten = rates()["flatten"]
    area = 18 + Decimal("12.5")
    assert flatten.median == Decimal(18 + 25) / area, "what was done again is left out"


class TestQuote:
    @pytest.fixture(autouse=True)
    def _three_jobs(self, work: Work):
        set_shop(work.call(), settings={"hourly_rate": "60"})
        for minutes in (90, 36, 54):
            a_job(work, flatten=minutes)

    def test_they_are_told_of_and_not_taken(self, work: Work):
        piece = enquired(work)
        done = draft_quote(work.call(), commission=piece.commission.number)
        assert Offer.objects.get().basis["pieces"][0]["hours"] == "0"
        assert any("the shop's own would be 2.7 h for 5 kinds of stage" in n for n in done.notices)

    def test_chosen_they_are_frozen_by_stage(self, work: Work):
        """30 + 60 + 5 + 15 and 18 x 3 minutes: 164 min, 2.73 h."""
        piece = enquired(work)
        told = quote_for(work, piece, own_hours=[piece.number]).basis["pieces"][0]
        assert {s["kind"]: (s["minutes"], s["jobs"]) for s in told["stages"]} == {
            "survey": ("30", 3), "glue-up": ("60", 3), "scrape": ("5", 3), "clamps-off": ("15", 3),
            "flatten": ("54", 3),
        }  # fmt: skip
        assert told["hours"] == "2.73"
        a_job(work, flatten=500)
        assert Offer.objects.get().basis["pieces"][0] == told

    def test_what_is_typed_for_a_stage_comes_first(self, work: Work):
        piece = enquired(work)
        asked = {"minutes": {piece.number: {"flatten": Decimal(120)}}, "own_hours": [piece.number]}
        told = quote_for(work, piece, **asked).basis["pieces"][0]
        assert told["hours"] == "3.83"
        assert "typed for 1 and the medians of the shop's own jobs for 4" in told["hours_from"]

    @pytest.mark.parametrize(
        "field, asked",
        [
            ("hours", {"hours": Decimal(2), "own": True}),
            ("hours", {"hours": Decimal(-1)}),
            ("minutes", {"minutes": {"polish": Decimal(1)}}),
            ("minutes", {"minutes": {"flatten": Decimal(-1)}}),
        ],
    )
    def test_what_cannot_be_is_refused(self, work: Work, field: str, asked: dict):
        piece = enquired(work)
        given: dict = {"own_hours": [piece.number] if asked.pop("own", False) else []}
        given |= {name: {piece.number: value} for name, value in asked.items()}
        with pytest.raises(Invalid) as refused:
            quote_for(work, piece, **given)
        assert refused.value.field == field
        assert not Offer.objects.exists()

    def test_quoted_stands_beside_what_was_spent(self, work: Work):
        """Quoted 164 min at 60 an hour: 164.00, by hand. Spent 40 + 60 + 5 + 15 and 70, then 20 again."""
        piece = enquired(work)
        offer = quote_for(work, piece, own_hours=[piece.number])
        issue_offer(work.call(), offer=offer.number)
        accept_offer(work.call(), offer=offer.number, version=1, name="Orla")
        timed(work, piece, {"survey": 40, "glue-up": 60, "scrape": 5, "clamps-off": 15, "flatten": 70})
        redo_stage(work.call(), piece=piece.number, stage="flatten", reason="it cupped")
        timed(work, piece, {"flatten": 20})
        view = quoted_against_actual(piece.commission)
        rows = {row["kind"]: row for row in view["stages"]}
        assert [rows["survey"][n] for n in ("quoted", "spent", "difference")] == [30, 40, 10]
        assert [rows["flatten"][n] for n in ("quoted", "spent", "redone", "difference")] == [54, 20, 70, 36]
        assert rows["seal"]["quoted"] is None and rows["seal"]["open"] == 1
        assert (view["quoted"], view["spent"], view["redone"], view["difference"]) == (164, 140, 70, 46)
        assert (view["cost_quoted"], view["cost_spent"]) == (Decimal("163.80"), Decimal("210.00"))

    def test_a_sum_stands_at_no_stage(self, work: Work):
        piece = enquired(work)
        quote_for(work, piece, hours={piece.number: Decimal("2.5")})
        view = quoted_against_actual(piece.commission)
        assert (view["quoted"], view["in_one_sum"], view["standing"]) == (150, 150, "draft")


def test_a_job_sheet_says_that_its_piece_was_changed(work: Work):
    piece = work.accepted(**SHORT)
    number = piece.commission.number
    sheet = the_paper(issue_job_sheet(work.call(), commission=number))
    assert not is_stale(sheet)
    timed(work, piece, {"survey": 5})
    redo_stage(work.call(), piece=piece.number, stage="survey", reason="another wall")
    assert not is_stale(sheet), "the piece is as it was"
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"length": "61"})
    assert is_stale(sheet)
    withdraw_paper(work.call(), paper=sheet.number, reason="a new length")
    assert not is_stale(Paper.objects.get(number=sheet.number))
    assert not is_stale(the_paper(issue_job_sheet(work.call(), commission=number)))
