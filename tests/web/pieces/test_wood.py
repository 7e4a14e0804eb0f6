"""The drawn wood of a piece: a picture that a browser keeps until the piece changes."""

from typing import Any

from django.urls import reverse

from jobs.domain.commissions.piece_commands import change_piece
from jobs.models import Piece
from tests.shop_fixtures import INCHES, Work
from tests.web.pages import Pages


def the_piece(pages: Pages, piece: Piece) -> Any:
    return pages.http.get(reverse("web:wood", args=[piece.number]))


def test_the_wood_of_a_piece_is_a_picture_of_its_own_look(pages: Pages, piece: Piece):
    whole = the_piece(pages, piece)
    assert whole["Content-Type"] == "image/svg+xml" and b"feTurbulence" in whole.content
    small = pages.http.get(reverse("web:wood", args=[piece.number]), {"small": ""})
    assert b"feTurbulence" not in small.content and len(small.content) < len(whole.content)


def test_a_browser_keeps_it_for_good_under_the_newest_version_only(pages: Pages, work: Work, piece: Piece):
    path = reverse("web:wood", args=[piece.number])
    first = pages.http.get(path, {"v": f"1-{piece.revision}"})
    assert "immutable" in first["Cache-Control"] and "no-cache" not in first["Cache-Control"]
    assert "no-cache" in pages.http.get(path)["Cache-Control"]
    assert pages.http.get(path, headers={"If-None-Match": first["ETag"]}).status_code == 304
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "24"})
    after = pages.http.get(path, {"v": f"1-{piece.revision}"}, headers={"If-None-Match": first["ETag"]})
    assert after.status_code == 200 and "no-cache" in after["Cache-Control"]


def test_wood_is_for_those_who_work_in_the_shop(piece: Piece):
    path = reverse("web:wood", args=[piece.number])
    assert Pages().get(path, 302).answer.url.startswith("/sign-in/")


def test_a_piece_that_is_not_there_has_no_wood(pages: Pages):
    assert pages.http.get(reverse("web:wood", args=["2026-999-1"])).status_code == 404
