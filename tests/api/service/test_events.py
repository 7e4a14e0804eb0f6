"""The feed of events over the API."""

import json

from jobs.core.canonical_json import dumps
from jobs.log.commands import GENESIS
from jobs.models import Event, PrivateText
from tests.api.client import head, refused


def test_the_feed_goes_on_where_it_was_left(api, number):
    first = api.get("events/?limit=1").data
    assert (first["last"], first["head"], len(first["events"])) == (1, head(), 1)
    assert first["events"][0]["kind"] == "client_added"
    rest = api.get(f"events/?after={first['last']}").data
    assert [e["seq"] for e in rest["events"]] == list(range(2, head() + 1))
    end = api.get(f"events/?after={rest['last']}").data
    assert (end["events"], end["last"]) == ([], rest["last"])


def test_the_feed_carries_what_is_hashed(api, number):
    from hashlib import sha256

    previous = GENESIS
    for told in api.get("events/").data["events"]:
        assert told["prev_hash"] == previous
        columns = {**told, "body": dumps(told["data"])}
        del columns["data"], columns["hash"]
        previous = told["hash"]
        assert sha256(dumps(columns).encode()).hexdigest() == previous
    assert json.loads(Event.objects.last().body) == told["data"]


def test_one_stream(api, number):
    told = api.get(f"events/?stream=commission:{number}").data["events"]
    assert [e["kind"] for e in told] == ["commission_opened"]
    assert told[0]["actor"] == api.get("me/").data["id"]


def test_no_personal_text_is_in_the_feed(api, number):
    assert "Fenwick" not in api.get("events/").content.decode()


def test_feeds_that_cannot_be(api):
    refused(api.get("events/?after=-1"), 422, "invalid", "after")
    refused(api.get("events/?after=soon"), 422, "invalid", "after")
    refused(api.get("events/?limit=1001"), 422, "invalid", "limit")


def test_the_chain_is_verified(api, number):
    told = api.get("log/").data
    texts = PrivateText.objects.count()
    assert texts > 0 and told == {"count": head(), "head_hash": Event.objects.last().hash, "texts": texts}
