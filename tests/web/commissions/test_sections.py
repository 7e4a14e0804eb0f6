"""A commission in sections: the way as stations, figures behind tiles, what to watch, what is over."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.commissions.commissions import change_commission
from jobs.models import Commission, Event, Piece
from jobs.web.commissions.history import MILESTONES
from tests.shop_fixtures import Work, a_client, a_commission, a_price
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(6)
WIDE = {"length": "96", "width": "42", "thickness": "1 3/4"}


def work_of(pages: Pages, piece: Piece) -> str:
    return pages.get(f"/commissions/{piece.commission.number}/").words


def test_a_long_way_is_grouped_by_phase_and_a_short_one_is_not(pages: Pages, work: Work, piece: Piece):
    words = work_of(pages, piece)
    for phase in ("Agreed now", "Wood on the rack 2 stages", "Glued up", "Finished", "Paid and closed"):
        assert phase in words
    work.do_until(piece, "dry-fit")
    assert "From agreed to wood on the rack" in work_of(pages, piece)
    short = work.accepted(label="Legs", route="free-list", stages="Legs turned\nLegs sanded")
    words = work_of(pages, short)
    assert "Legs turned" in words and "Wood on the rack" not in words


def test_a_glue_up_in_several_clampings_is_grouped_by_session(pages: Pages, work: Work):
    words = work_of(pages, work.accepted(**WIDE))
    assert "Session 1, " in words and "Session 2, " in words


def test_every_stage_can_be_reached_from_the_way(pages: Pages, work: Work):
    piece = work.accepted(**WIDE)
    text = pages.get(f"/commissions/{piece.commission.number}/").text
    keys = [stage.key for stage in piece.stages.all()]
    assert [key for key in keys if f'href="/pieces/{piece.number}/stages/{key}/"' not in text] == []


def test_each_tile_opens_its_calculation(pages: Pages, piece: Piece):
    text = pages.get(f"/commissions/{piece.commission.number}/").text
    for name in ("lumber", "gluing", "clamping", "weight", "movement"):
        at = f"/pieces/{piece.number}/figures/?of={name}"
        assert f'href="{at}"' in text
        assert "Worked out from" in pages.get(at).words
    assert "/history/#hours" in text


def test_a_client_without_news_is_to_be_watched_until_told(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    change_commission(work.call(), commission=number, tell_days=3)
    Commission.objects.filter(number=number).update(step_at=timezone.now() - timedelta(days=9))
    assert "No news for the client for 9 days" in work_of(pages, piece)
    change_commission(work.call(), commission=number, tell_days=0)
    assert "No news for the client" not in work_of(pages, piece)


def test_a_closed_one_says_so_and_the_owner_what_came_in(
    pages: Pages, maker_pages: Pages, work: Work, piece: Piece
):
    a_price(work.call(), piece.commission)
    Commission.objects.filter(number=piece.commission.number).update(step="closed")
    assert "Delivered, paid and closed. 0.00 USD came in for 0 min of work." in work_of(pages, piece)
    words = work_of(maker_pages, piece)
    assert "Delivered, paid and closed." in words and "USD" not in words


def test_what_is_rare_lies_behind_the_dots(pages: Pages, piece: Piece):
    text = pages.get(f"/commissions/{piece.commission.number}/").text
    before, behind = text.split('class="more push plain"', 1)
    assert "Cancel this commission" not in before
    assert "Cancel this commission" in behind.split("</details>", 1)[0]


def test_milestones_are_kinds_of_event(work: Work, piece: Piece):
    work.do(piece, "survey")
    kinds = set(Event.objects.values_list("kind", flat=True))
    assert {"commission_opened", "stage_finished"} <= kinds & set(MILESTONES)


def test_a_commission_without_a_piece_asks_for_one(pages: Pages, work: Work):
    number = a_commission(work.call(), a_client(work.call())).number
    assert "No piece yet" in pages.get(f"/commissions/{number}/").words
    assert "No piece yet" in pages.get(f"/commissions/{number}/piece/").words


def test_the_pages_of_a_piece_are_kept_on_the_phone(pages: Pages, piece: Piece):
    urls = [page["url"] for page in pages.get("/kept/").answer.json()["pages"]]
    at = f"/commissions/{piece.commission.number}/"
    assert {at, f"{at}piece/", f"{at}history/", f"/pieces/{piece.number}/figures/"} <= set(urls)
    assert f"{at}money/" not in urls and f"{at}client/" not in urls
