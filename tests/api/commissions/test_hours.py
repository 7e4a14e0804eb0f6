"""Hours over the API."""

from tests.api.client import refused


def test_minutes_are_shown_to_owner_and_maker(api, maker_api, accepted):
    stages = f"pieces/{accepted}/stages/survey"
    api.post(f"{stages}/start/")
    answers = {"way_in_measured": "yes", "drawing_approved": "yes", "sample_approved": "yes"}
    api.post(f"{stages}/finish/", {"measured": answers, "minutes": 25})
    for who in (api, maker_api):
        seen = who.get("hours/").data
        assert (seen["minutes"], seen["kinds"][0]["median"], seen["commissions"][0]["minutes"]) == (
            25,
            25,
            25,
        )
    assert maker_api.get("hours/?until=2020-01-01").data["kinds"] == []


def test_a_period_that_cannot_be(api):
    refused(api.get("hours/?since=2026-02-02&until=2026-02-01"), 422, "invalid", "until")
    refused(api.get("hours/?since=yesterday"), 422, "invalid", "since")
