"""Notes for next time over the API."""

import base64
import io

import pytest
from PIL import Image

from jobs.domain.notes.images import MOST_BYTES
from jobs.models import Event
from tests.api.client import PROBLEM, head, refused
from tests.shop_fixtures import QUICK, TOP

WORDS = "Wax the cauls, the last panel stuck"


def a_picture(size=(64, 48)):
    out = io.BytesIO()
    Image.new("RGB", size, "red").save(out, "PNG")
    return base64.b64encode(out.getvalue()).decode()


@pytest.fixture
def at(piece):
    return f"pieces/{piece['number']}/stages/glue-up/notes/"


def test_a_note_with_its_picture_comes_back_until_it_is_dismissed_and_retired(api, maker_api, number, at):
    asked = {
        "words": WORDS, "picture": a_picture(), "only_for": ["species"],
        "rule": {"before": "stiffeners", "than": "square-ends"},
    }  # fmt: skip
    made = maker_api.post(at, asked, Idempotency_Key="one")
    assert made.status_code == 201
    note = made.data["note"]
    assert (note["words"], note["kind"], note["came_back"]) == (WORDS, "glue-up", 0)
    assert (note["only_for"], note["rule"]) == ({"species": "black walnut"}, asked["rule"])
    again = maker_api.post(at, asked, Idempotency_Key="one")
    assert (again.status_code, again.data["replayed"], again.data["note"]) == (200, True, note)
    other = {**asked, "picture": a_picture((80, 60))}
    refused(maker_api.post(at, other, Idempotency_Key="one"), 422, "key-reused", "Idempotency-Key")

    added = api.post(f"commissions/{number}/pieces/", {**TOP, **QUICK, "stiffeners": True}).data
    later = added["piece"]["number"]
    assert [n for n in added["notices"] if WORDS in n] == [w["says"] for w in added["piece"]["warnings"]]
    assert added["piece"]["warnings"][0]["note"] == note["id"]
    (shown,) = api.get(f"pieces/{later}/notes/").data
    assert (shown["id"], shown["shown_at"], shown["where"]) == (note["id"], ["glue-up"], [later])
    assert api.get(f"pieces/{later}/stages/glue-up/notes/").data == [shown]
    assert api.get(f"pieces/{later}/stages/rip/notes/").data == []

    api.post(f"pieces/{later}/notes/{note['id']}/dismiss/")
    assert api.get(f"pieces/{later}/notes/").data == []
    refused(api.post(f"pieces/{later}/notes/{note['id']}/dismiss/"), 409, "already-done", "note")
    retired = api.post(f"notes/{note['id']}/retire/", {"reason": "coated cauls"}).data["note"]
    assert (retired["retired_reason"], retired["came_back"]) == ("coated cauls", 1)
    assert [n["id"] for n in api.get("notes/?retired=true").data["results"]] == [note["id"]]
    assert api.get("notes/?retired=false").data["results"] == []
    assert api.get(f"pieces/{later}/").data["warnings"] == []
    assert WORDS not in "".join(Event.objects.values_list("body", flat=True))


def test_the_picture_is_for_who_works_here(api, maker_api, nobody, at):
    note = api.post(at, {"words": WORDS, "picture": a_picture()}).data["note"]
    address = f"notes/{note['id']}/picture/"
    answer = maker_api.get(address)
    assert (answer["Content-Type"], answer["Cache-Control"]) == ("image/jpeg", "private, no-cache")
    assert Image.open(io.BytesIO(answer.content)).format == "JPEG"
    assert maker_api.get(address, If_None_Match=answer["ETag"]).status_code == 304
    refused(nobody.get(address), 401, "unauthenticated")
    bare = api.post(at, {"words": WORDS}).data["note"]
    refused(api.get(f"notes/{bare['id']}/picture/"), 404, "not-found", "picture")


def test_notes_that_cannot_be(api, at, subtests):
    refusals = [
        ({}, 422, "words"), ({"words": ""}, 422, "words"), ({"words": WORDS, "picture": "#"}, 422, "picture"),
        ({"words": WORDS, "picture": 5}, 422, "picture"),
        ({"words": WORDS, "picture": "R0lGODlh"}, 422, "picture"),
        ({"words": WORDS, "only_for": ["colour"]}, 422, "only_for.0"),
        ({"words": WORDS, "rule": {"before": "rip"}}, 422, "rule.than"),
        ({"words": WORDS, "rule": {"before": "rip", "than": "cat"}}, 422, "rule.than"),
    ]  # fmt: skip
    before = head()
    for asked, status, field in refusals:
        with subtests.test(asked=asked):
            assert refused(api.post(at, asked), status, "invalid", field)["allowed"]
    refused(api.post("pieces/2001-001-1/stages/rip/notes/", {"words": WORDS}), 404, "not-found", "stage")
    refused(api.get("notes/9/"), 404, "not-found", "note")
    assert head() == before


def test_a_picture_may_be_longer_than_other_bodies_but_not_without_end(api, nobody, at):
    too_long = base64.b64encode(bytes(MOST_BYTES + 3)).decode()
    refused(api.post(at, {"words": WORDS, "picture": too_long}), 422, "invalid", "picture")
    within = base64.b64encode(bytes(MOST_BYTES - 2)).decode()
    error = refused(api.post(at, {"words": WORDS, "picture": within}), 422, "invalid", "picture")
    assert "cannot be read" in error["detail"]
    endless = b'{"words": "' + b"x" * 13_000_000 + b'"}'
    refused(api.post(at, raw=endless), 413, "too-large")
    assert nobody.post(at, raw=endless).headers["Content-Type"] == PROBLEM


def test_notes_of_an_owners_stage_are_not_for_a_maker(api, maker_api, piece):
    at = f"pieces/{piece['number']}/stages/paid/notes/"
    note = api.post(at, {"words": "He pays late"}).data["note"]
    refused(maker_api.get(at), 403, "forbidden", "stage")
    refused(maker_api.get(f"notes/{note['id']}/"), 403, "forbidden", "note")
    refused(maker_api.post(at, {"words": WORDS}), 403, "forbidden", "by")
    assert maker_api.get("notes/").data["results"] == []
    assert maker_api.get(f"pieces/{piece['number']}/notes/").data == []
