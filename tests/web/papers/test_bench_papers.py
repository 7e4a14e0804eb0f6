"""Pages of the bench's papers: where a label leads, issuing sheets, the shopping list, labels."""

from jobs.domain.stock.boards import add_board
from jobs.models import Paper
from tests.shop_fixtures import INCHES, Work
from tests.web.pages import Pages


def test_the_code_on_a_piece_leads_to_the_stage_to_do(pages: Pages, work: Work):
    piece = work.accepted()
    at = f"/pieces/{piece.number}/next/"
    first = piece.stages.order_by("position").first()
    assert pages.http.get(at).url == f"/pieces/{piece.number}/stages/{first.key}/"
    work.do(piece, first.key)
    second = piece.stages.order_by("position")[1]
    work.start(piece, second.key)
    assert pages.http.get(at).url == f"/pieces/{piece.number}/stages/{second.key}/"
    assert pages.http.post(at).status_code == 405


def test_sheets_are_issued_where_the_papers_stand_and_withdrawn_there(pages: Pages, work: Work):
    piece = work.accepted()
    number = piece.commission.number
    page = f"/commissions/{number}/"
    assert "Issue the job sheet" in pages.get(page).text and "Issue the care card" not in pages.get(page).text
    assert "Issue the job sheet" in pages.get(f"{page}job-sheet/").text
    work.do_until(piece, "stock")
    for kind, name in (("job-sheet", "J2026-0001"), ("care-sheet", "K2026-0001")):
        pages.send(f"{page}{kind}/")
        assert Paper.objects.get(kind=kind).number == name
        shown = pages.get(f"{page}piece/").text
        assert name in shown and f"/papers/{name}/withdraw/" in shown
    assert "Issue the job sheet" not in pages.get(page).text


def test_the_shopping_list_and_labels_stand_at_the_stock(pages: Pages, work: Work):
    piece = work.accepted()
    add_board(work.call(), units=INCHES, species="black walnut", thickness="2", width="6", length="120")
    assert (
        "/stock/shopping/" in pages.get("/stock/").text
        and "/stock/labels/?step=free" in pages.get("/stock/").text
    )
    told = pages.get("/stock/shopping/").text
    assert "Black walnut" in told and piece.number in told and "Discs P80" in told
    for at in ("/stock/shopping/print/", "/stock/labels/?board=1", f"/pieces/{piece.number}/label/"):
        answer = pages.http.get(at)
        assert answer.status_code == 200 and answer.content.startswith(b"%PDF"), at
    assert pages.http.get("/stock/labels/?board=99").status_code == 404
    assert (
        'name="start"' in pages.get("/stock/boards/1/").text and 'name="start"' in pages.get("/stock/").text
    )
    for at in ("/stock/labels/?board=1&", f"/pieces/{piece.number}/label/?"):
        assert pages.http.get(f"{at}start=14").status_code == 200
        assert pages.http.get(f"{at}start=15").status_code == 422
