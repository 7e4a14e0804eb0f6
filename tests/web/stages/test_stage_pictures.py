"""Pictures from the camera, at a stage's page."""

import io

import pytest
from PIL import Image

from jobs.models import Picture, Piece
from tests.web.pages import Pages, head


@pytest.fixture(autouse=True)
def _own_files(tmp_path, settings):
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


def a_file(content: bytes | None = None) -> io.BytesIO:
    out = io.BytesIO(content or b"")
    if content is None:
        Image.new("RGB", (640, 480), "peru").save(out, "JPEG")
        out.seek(0)
    out.name = "photo.jpg"
    return out


def test_a_picture_is_taken_shown_and_removed(pages: Pages, piece: Piece):
    at = f"/pieces/{piece.number}/stages/stock/"
    pages.send(f"{at}picture/", {"picture": a_file(), "words": "the knot"}, to="/picture/")
    picture = Picture.objects.get()
    small = f"/pictures/{picture.id}/small.jpg"
    for page in (pages.get(at), pages.get(f"/commissions/{piece.commission.number}/piece/")):
        assert small in page.text and 'alt="the knot"' in page.text
    assert pages.http.get(small).headers["Content-Type"] == "image/jpeg"
    assert "the knot" in pages.get(f"/pictures/{picture.id}/").words
    pages.send(f"/pictures/{picture.id}/", {"reason": "blurred"})
    assert small not in pages.get(at).text
    pages.get(f"/pictures/{picture.id}/", 404)


def test_what_is_no_picture_is_refused_beside_its_field(pages: Pages, piece: Piece):
    at, before = f"/pieces/{piece.number}/stages/stock/", head()
    for wrong in (a_file(b"<svg/>"), ""):
        page = pages.send(f"{at}picture/", {"picture": wrong, "words": "a try"}, to="/picture/", status=422)
        assert page.errors["picture_picture"] and page.form("/picture/").typed["words"] == "a try"
    assert head() == before
