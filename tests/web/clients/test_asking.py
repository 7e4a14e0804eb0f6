"""The page that sends a drawing to the client."""

from jobs.domain.clients.approvals import ask_approval
from jobs.models import Approval, ClientUpdate, Piece
from tests.shop_fixtures import Work
from tests.web.pages import Pages


def test_a_drawing_is_sent_with_one_press(maker_pages: Pages, piece: Piece):
    path = f"/commissions/{piece.commission.number}/client/approval/"
    page = maker_pages.get(path)
    form = page.form()
    assert form.typed["drawings"] == piece.number and form.typed["samples"] == ""
    assert "Your drawing is ready." in form.typed["words"]
    del form.typed["samples"]
    maker_pages.send_form(path, form)
    asked = Approval.objects.get()
    assert (asked.piece, asked.what) == (piece.number, "drawing")
    assert ClientUpdate.objects.count() == 1
    assert "with the client since" in maker_pages.get(path).words


def test_the_section_of_the_client_leads_there_and_says_how_it_stands(pages: Pages, work: Work, piece: Piece):
    at = f"/commissions/{piece.commission.number}/client/"
    assert f'href="{at}approval/"' in pages.get(at).text
    ask_approval(work.call(), commission=piece.commission.number, drawings=[piece.number])
    assert "with them since" in pages.get(at).words
    work.do(piece, "survey")
    assert f'href="{at}approval/"' not in pages.get(at).text


def test_nothing_is_left_to_send_once_the_stage_is_done(pages: Pages, work: Work, piece: Piece):
    work.do(piece, "survey")
    page = pages.get(f"/commissions/{piece.commission.number}/client/approval/")
    assert "Nothing is left to approve." in page.words and "Send it to the client" not in page.words


def test_without_a_choice_nothing_is_sent(pages: Pages, piece: Piece):
    path = f"/commissions/{piece.commission.number}/client/approval/"
    form = pages.get(path).form()
    del form.typed["drawings"], form.typed["samples"]
    assert "nothing was chosen" in pages.send_form(path, form, status=422).words.lower()
    assert not Approval.objects.exists()
