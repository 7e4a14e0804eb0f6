"""Page and API ask about a time of a stage that is years back; they never take it silently."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Person, Piece, Stage
from tests.api.client import Api
from tests.shop_fixtures import Work, stage_of
from tests.web.conftest import BEGUN
from tests.web.pages import Pages, head

FINISH = dict.fromkeys(("way_in_measured", "drawing_approved", "sample_approved"), "yes")


def typed(days: float) -> str:
    """Return a time so many days before the commission was opened, as a page takes it."""
    return timezone.localtime(BEGUN - timedelta(days=days)).strftime("%Y-%m-%dT%H:%M")


def test_the_page_asks_and_takes_it_when_it_is_meant(pages: Pages, piece: Piece):
    survey, before = f"/pieces/{piece.number}/stages/survey/", head()
    assert "long_ago" not in pages.get(survey).form("/start/").typed, "asked only where it looks mistyped"
    refused = pages.send(survey, {"when": typed(400)}, to="/start/", status=409)
    assert "before its commission was opened" in refused.errors["long_ago"] and head() == before
    assert refused.form("/start/").typed["when"] == typed(400), "nothing typed is lost"
    again = pages.send_form(survey, refused.form("/start/"), {"long_ago": ""}, status=409)
    assert head() == before
    pages.send_form(survey, again.form("/start/"), {"long_ago": "yes"})
    assert timezone.localtime(stage_of(piece, "survey").started_at).strftime("%Y-%m-%dT%H:%M") == typed(400)
    checked = {f"measured.{key}": value for key, value in FINISH.items()}
    refused = pages.send(survey, {**checked, "when": typed(399), "minutes": "5"}, to="/finish/", status=409)
    pages.send_form(survey, refused.form("/finish/"), {"long_ago": "yes"})
    assert stage_of(piece, "survey").step == Stage.Step.DONE


@pytest.mark.parametrize("verb", ["start", "finish", "skip"])
def test_the_api_names_the_problem_until_the_flag_is_sent(work: Work, piece: Piece, owner: Person, verb: str):
    api, key = Api(owner), {"start": "survey", "finish": "survey", "skip": "stock"}[verb]
    work.now += timedelta(minutes=5)
    if verb != "start":
        work.start(piece, "survey")
    if verb == "skip":
        work.finish(piece, "survey", measured=FINISH, minutes=5)
    path, at = f"pieces/{piece.number}/stages/{key}/{verb}/", BEGUN - timedelta(days=3 * 365)
    body = {"occurred_at": at.isoformat()}
    body |= {"skip": {"reason": "had it on the rack"}, "finish": {"measured": FINISH, "minutes": 5}}.get(
        verb, {}
    )
    before, refused = head(), api.post(path, body)
    assert (refused.status_code, refused.data["code"]) == (409, "say-it-is-meant")
    assert refused.data["errors"][0]["pointer"] == "#/long_ago" and head() == before
    meant = api.post(path, {**body, "long_ago": True})
    # A finish may not lie before its start, confirmed or not.
    assert (meant.status_code, meant.data.get("code")) == (
        (422, "invalid") if verb == "finish" else (200, None)
    )


def test_more_than_a_month_back_is_asked_about_in_an_old_commission_too(owner: Person):
    work = Work(owner, now=timezone.now() - timedelta(days=200))
    piece = work.accepted()
    path, api = f"pieces/{piece.number}/stages/survey/start/", Api(owner)
    ago = {days: (timezone.now() - timedelta(days=days)).isoformat() for days in (31, 29)}
    refused = api.post(path, {"occurred_at": ago[31]})
    assert (refused.status_code, refused.data["code"]) == (409, "say-it-is-meant")
    assert "that is 31 days ago" in refused.data["detail"]
    assert api.post(path, {"occurred_at": ago[29]}).status_code == 200
