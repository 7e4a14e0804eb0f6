"""Pictures of a stage over the API."""

import base64
import io

import pytest
from PIL import Image

from jobs.models import Picture
from tests.api.client import head, refused


@pytest.fixture(autouse=True)
def _own_files(tmp_path, settings):
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


def a_photo(size=(800, 600)) -> str:
    """Return a camera's picture that says where it was taken (EXIF GPS, tag 0x8825), as base64."""
    image, out, exif = Image.new("RGB", size, "peru"), io.BytesIO(), Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "camera maker"
    image.save(out, "JPEG", exif=exif)
    return base64.b64encode(out.getvalue()).decode()


def test_a_picture_is_pinned_to_a_stage_and_has_lost_its_place(api, maker_api, accepted):
    at = f"pieces/{accepted}/stages/stock/pictures/"
    made = maker_api.post(at, {"picture": a_photo(), "words": "the knot"})
    assert made.status_code == 201
    picture = made.data["picture"]
    assert (picture["stage"], picture["words"]) == ("stock", "the knot")
    whole = api.get(f"pictures/{picture['id']}/")
    assert whole.headers["Content-Type"] == "image/jpeg"
    with Image.open(io.BytesIO(whole.content)) as seen:
        assert seen.size == (800, 600) and not dict(seen.getexif())
    with Image.open(io.BytesIO(api.get(f"pictures/{picture['id']}/?size=small").content)) as small:
        assert max(small.size) == 360
    assert [p["id"] for p in api.get(f"pieces/{accepted}/pictures/").data] == [picture["id"]]
    etag = whole.headers["ETag"]
    assert api.get(f"pictures/{picture['id']}/", If_None_Match=etag).status_code == 304


def test_a_removed_picture_is_not_shown_again(api, accepted):
    made = api.post(f"pieces/{accepted}/stages/stock/pictures/", {"picture": a_photo()})
    key = made.data["picture"]["id"]
    assert api.post(f"pictures/{key}/remove/", {"reason": "blurred"}).data["picture"] is None
    refused(api.get(f"pictures/{key}/"), 404, "not-found", "picture")
    refused(api.post(f"pictures/{key}/remove/"), 404, "not-found", "picture")
    assert api.get(f"pieces/{accepted}/pictures/").data == []
    assert Picture.objects.count() == 1


def test_what_is_no_picture_is_refused_and_nothing_is_written(api, accepted):
    at, before = f"pieces/{accepted}/stages/stock/pictures/", head()
    for wrong in (base64.b64encode(b"<svg onload=alert(1)>").decode(), "not base64", ""):
        refused(api.post(at, {"picture": wrong}), 422, "invalid", "picture")
    refused(api.post(at, {"picture": a_photo(), "words": "x" * 501}), 422, "invalid", "words")
    refused(api.post(f"pieces/{accepted}/stages/none/pictures/", {"picture": a_photo()}), 404, "not-found")
    assert head() == before


def test_the_owners_stage_has_the_owners_pictures(api, maker_api, accepted):
    made = api.post(f"pieces/{accepted}/stages/paid/pictures/", {"picture": a_photo()})
    key = made.data["picture"]["id"]
    refused(maker_api.get(f"pictures/{key}/"), 403, "forbidden", "picture")
    refused(maker_api.post(f"pictures/{key}/remove/"), 403, "forbidden", "picture")
    refused(
        maker_api.post(f"pieces/{accepted}/stages/paid/pictures/", {"picture": a_photo()}), 403, "forbidden"
    )
    assert maker_api.get(f"pieces/{accepted}/pictures/").data == []


def test_the_same_key_keeps_one_picture(api, accepted):
    at, body = f"pieces/{accepted}/stages/stock/pictures/", {"picture": a_photo()}
    first = api.post(at, body, Idempotency_Key="p-1")
    again = api.post(at, body, Idempotency_Key="p-1")
    assert again.data["replayed"] and again.data["events"] == first.data["events"]
    assert Picture.objects.count() == 1


def test_a_picture_of_what_is_asked_for_belongs_to_its_commission(api, maker_api, accepted):
    number = accepted.rpartition("-")[0]
    at = f"commissions/{number}/pictures/"
    made = maker_api.post(at, {"picture": a_photo(), "words": "the room"})
    assert made.status_code == 201
    picture = made.data["picture"]
    assert (picture["commission"], picture["piece"], picture["stage"]) == (number, "", "")
    work = api.post(f"pieces/{accepted}/stages/stock/pictures/", {"picture": a_photo()}).data["picture"]
    assert [p["id"] for p in api.get(at).data] == [picture["id"], work["id"]]
    assert [p["id"] for p in api.get(f"pieces/{accepted}/pictures/").data] == [work["id"]]
    told = api.post(f"commissions/{number}/updates/", {"words": "Seen", "pictures": [picture["id"]]})
    assert told.status_code == 201, "it can be chosen for the client"
    assert api.post(f"pictures/{picture['id']}/remove/", {"reason": "the wrong room"}).status_code == 200
    assert [p["id"] for p in api.get(at).data] == [work["id"]]
    refused(api.post(at, {"picture": "not base64"}), 422, "invalid", "picture")
    refused(api.post("commissions/2026-999/pictures/", {"picture": a_photo()}), 404, "not-found")
