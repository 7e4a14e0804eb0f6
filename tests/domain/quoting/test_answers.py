"""The client's answer to an offer: what can be chosen, which version holds, and what follows."""

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import redis
from django.conf import LazySettings
from django.conf import settings as django_settings

from jobs.core.errors import Invalid
from jobs.domain.billing.prices import Line
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.log.private_texts import read
from jobs.models import Event, Offer, Piece, Stage, Wait
from tests.needs import needs
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, stage_of

pytestmark = pytest.mark.django_db
LINE = Line(description="Top as drawn", unit_price=Decimal(1000), tax_pct=Decimal(19))
RESTING = """
key = "resting"
title = "Rest first"
[[stage]]
key = "rest"
title = "Rests"
passive = true
waits = [{ kind = "rest", title = "Resting", duration = "2 h" }]
[[stage]]
key = "work"
title = "Worked"
after = ["rest"]
"""


def enquired(work: Work, **asked: Any) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **asked)


def issued(work: Work, piece: Piece, **more: Any) -> str:
    """Return the number of an issued quote on a piece."""
    given = {"lines": [LINE], "deposit_pct": Decimal(0), **more}
    draft_quote(work.call(), commission=piece.commission.number, **given)
    issue_offer(work.call(), offer=f"{piece.commission.number}-Q1")
    return f"{piece.commission.number}-Q1"


def test_the_reason_for_declining_has_up_to_four_thousand_characters(work: Work):
    quote = issued(work, enquired(work))
    with pytest.raises(Invalid) as refused:
        decline_offer(work.call(), offer=quote, version=1, reason="x" * 4001)
    assert (refused.value.field, Offer.objects.get().step) == ("reason", "issued")
    decline_offer(work.call(), offer=quote, version=1, reason="x" * 4000)
    assert read(Offer.objects.get().reason_ref) == "x" * 4000


def test_what_needs_no_hands_begins_with_the_acceptance(work: Work, settings: LazySettings, tmp_path: Path):
    (tmp_path / "resting.toml").write_text(RESTING)
    settings.ROUTES_DIR = tmp_path
    piece = enquired(work, route="resting", label="Shelf")
    quote = issued(work, piece)
    assert stage_of(piece, "rest").step == Stage.Step.PLANNED
    accept_offer(work.call(), offer=quote, version=1)
    assert stage_of(piece, "rest").step == Stage.Step.WAITING
    assert Wait.objects.get(step=Wait.Step.RUNNING).kind == "rest"


def test_of_three_versions_the_last_is_answered(work: Work):
    quote = issued(work, enquired(work))
    for _ in range(2):
        rewrite_offer(work.call(), offer=quote)
        issue_offer(work.call(), offer=quote)
    accept_offer(work.call(), offer=quote, version=3)
    assert [offer.step for offer in Offer.objects.order_by("version")] == ["superseded"] * 2 + ["accepted"]


def test_of_a_choice_that_is_not_there_those_are_named_that_are(work: Work):
    piece = enquired(work, species="white oak")
    woods = ("black walnut", "cherry")
    others = [Alternative(piece=piece.number, species=wood, difference=Decimal(5)) for wood in woods]
    for more, allowed in (({"alternatives": others}, "1, 2"), ({}, "none: there are no alternatives")):
        quote = issued(work, enquired(work) if not more else piece, **more)
        with pytest.raises(Invalid) as refused:
            accept_offer(work.call(), offer=quote, version=1, chosen=[3])
        assert (refused.value.field, refused.value.allowed) == ("chosen", allowed)


@pytest.mark.parametrize("under, becomes", [("quick-oil", "quick-finish"), ("shellac", "shellac")])
def test_another_finish_is_below_too_where_the_same_was_on_both_sides(work: Work, under: str, becomes: str):
    piece = enquired(work, finish_face="quick-oil", finish_under=under)
    film = Alternative(piece=piece.number, finish="quick-finish", difference=Decimal(40))
    accept_offer(work.call(), offer=issued(work, piece, alternatives=[film]), version=1, chosen=[1])
    piece.refresh_from_db()
    assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("quick-finish", becomes)


def test_a_change_of_the_date_alone_leaves_the_price_as_it_is(work: Work):
    piece = enquired(work)
    accept_offer(work.call(), offer=issued(work, piece), version=1)
    number, later = piece.commission.number, work.now.date().replace(month=12)
    draft_change_order(work.call(), commission=number, words="The oak comes later", promise_on=later)
    issue_offer(work.call(), offer=f"{number}-X1")
    before = Event.objects.count()
    accept_offer(work.call(), offer=f"{number}-X1", version=1)
    kinds = Event.objects.filter(seq__gt=before).order_by("seq").values_list("kind", flat=True)
    assert list(kinds) == ["offer_accepted", "commission_changed"]


def test_a_choice_that_leaves_less_than_nothing_to_pay_is_refused(work: Work):
    piece = enquired(work, species="black walnut")
    less = [
        Alternative(piece=piece.number, species=wood, difference=Decimal(by))
        for wood, by in (("white oak", "-1000.00"), ("cherry", "-1000.01"))
    ]
    quote = issued(work, piece, alternatives=less)
    with pytest.raises(Invalid):
        accept_offer(work.call(), offer=quote, version=1, chosen=[2])
    assert Offer.objects.get().step == "issued"
    accept_offer(work.call(), offer=quote, version=1, chosen=[1])


@needs("redis")
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("answer", [accept_offer, decline_offer])
def test_a_clients_answer_wakes_what_tells_the_shop(work: Work, redis_url: str, answer: Any):
    queue = redis.from_url(django_settings.REDIS_URL)
    for by_client in (True, False):
        piece = enquired(work)
        quote = issued(work, piece)
        queue.delete("celery")
        by = f"client:{piece.commission.client_id}" if by_client else work.by.id
        name = {"name": "Orla Fenwick"} if answer is accept_offer else {}
        answer(replace(work.call(), by=by), offer=quote, version=1, **name)
        told = [json.loads(message)["headers"]["task"] for message in queue.lrange("celery", 0, -1)]
        assert ("jobs.tasks.sweep" in told) is by_client
    queue.delete("celery")
