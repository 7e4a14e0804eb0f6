"""A client's visits to the page."""

import io

from django.test import Client as Browser
from django.utils import timezone
from PIL import Image

from jobs.domain.clients.portal_links import make_link
from jobs.domain.notes.pictures import take_picture
from jobs.models import Person, Picture, Piece
from tests.shop_fixtures import Work
from tests.web.pages import Page


def a_link(piece: Piece, owner: Person) -> str:
    return f"/c/{make_link(owner, commission=piece.commission.number, now=timezone.now())[1]}/"


def a_picture(work: Work, piece: Piece, stage: str, words: str = "") -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), "peru").save(out, "JPEG")
    take_picture(work.call(), piece=piece.number, stage=stage, picture=out.getvalue(), words=words)
    return Picture.objects.last()


def seen(visitor: Browser, path: str, status: int = 200) -> Page:
    page = Page(visitor.get(path))
    assert page.status == status, f"{path}: {page.status} {page.words[:300]}"
    return page
