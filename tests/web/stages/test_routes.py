"""The route of a piece edited at its page, and the shop's templates."""

from jobs.models import Piece, RouteTemplate
from tests.shop_fixtures import Work, stage_of
from tests.web.pages import Pages, head

OWN = """key = "shelf"
title = "Shelf"
[[stage]]
key = "make"
title = "Made"
[[stage]]
key = "deliver"
title = "Delivered"
after = ["make"]
marks = "delivered"
"""


def test_a_stage_is_added_moved_and_removed(pages: Pages, piece: Piece):
    url = f"/pieces/{piece.number}/route/"
    typed = {"title": "Fill knots", "after": ["final-flatten"], "before": ["square-ends"]}
    pages.send(url, typed, to="/route/")
    page = pages.get(url)
    assert "Fill knots" in page.words and stage_of(piece, "square-ends").spec["after"] == ["added-1"]
    moved = f"{url}added-1/move/"
    pages.send(moved, {"after": ["rough-flatten"]})
    assert stage_of(piece, "added-1").spec["after"] == ["rough-flatten"]
    pages.send_form("", pages.get(url).form("/added-1/remove/"))
    assert "Fill knots" not in pages.get(url).words.replace("Route", "")
    assert "changed by hand" in pages.get(f"/commissions/{piece.commission.number}/piece/").words


def test_refusals_name_the_stages(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "stock")
    url, before = f"/pieces/{piece.number}/route/", head()
    page = pages.send(f"{url}rip/move/", {"after": ["layout"]}, status=422)
    assert "wait for one another" in page.errors["after"] and "Strips ripped" in page.errors["after"]
    typed = {"title": "Between", "after": ["survey"], "before": ["stock"]}
    page = pages.send(url, typed, to="/route/", status=409)
    assert "drop or move begun stages" in page.words and page.form("/route/").typed["title"] == "Between"
    page = pages.send(url, {"title": "", "after": ["survey"], "before": []}, to="/route/", status=422)
    assert "needs a title" in page.errors["title"]
    page = pages.post(f"{url}stock/remove/", {"form_key": "k"}, 409)
    assert "has been begun" in page.words and head() == before


def test_what_has_been_begun_offers_no_change(pages: Pages, work: Work, piece: Piece):
    work.do_until(piece, "stock")
    text = pages.get(f"/pieces/{piece.number}/route/").text
    assert "/route/stock/move/" not in text and "/route/stock/remove/" not in text
    assert "/route/rip/move/" in text and "/route/deliver/remove/" not in text


def test_a_template_is_set_from_a_file_and_again(pages: Pages):
    assert "Edge-glued top" in pages.get("/route-templates/").words
    form = pages.get("/route-templates/edge-glued-film/").form()
    assert "[[stage]]" in form.typed["text"]
    pages.send_form("/route-templates/edge-glued-film/", form, {"text": OWN})
    assert RouteTemplate.objects.get().key == "shelf"
    longer = OWN.replace('"Shelf"', '"Wall shelf"')
    pages.send("/route-templates/shelf/", {"text": longer})
    assert "own, version 2" in pages.get("/route-templates/").words
    assert "/route-templates/shelf/1/" in pages.get("/route-templates/shelf/").text
    first = pages.get("/route-templates/shelf/1/")
    assert OWN in first.text and longer not in first.text
    assert "<textarea" not in first.text and "/route-templates/shelf/2/" in first.text
    pages.get("/route-templates/shelf/3/", 404)


def test_what_is_wrong_in_a_template_stands_beside_it(pages: Pages):
    before = head()
    wrong = OWN.replace('["make"]', '["varnish"]')
    page = pages.send("/route-templates/edge-glued-film/", {"text": wrong}, status=422)
    assert "varnish" in page.errors["text"] and "deliver" in page.errors["text"]
    assert page.form().typed["text"].strip() == wrong.strip() and head() == before
    page = pages.send("/route-templates/edge-glued-film/", {"text": "key = "}, status=422)
    assert "Found" in page.errors["text"]
