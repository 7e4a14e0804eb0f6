"""The pages that export a client's data and erase the client, and those of quoted hours."""

import io
import zipfile

from jobs.domain.commissions.commissions import move_commission
from jobs.domain.notes.commands import write_note
from jobs.models import Client, Offer, Piece
from tests.shop_fixtures import QUICK, Work, a_client, a_commission, a_piece, good
from tests.web.pages import Pages


def somebody(work: Work) -> Client:
    """Return a client whose one commission was declined."""
    client = a_client(work.call(), email="orla@fenwick.example")
    number = a_commission(work.call(), client).number
    move_commission(work.call(), commission=number, to="declined", reason="too dear")
    return client


def test_all_about_a_client_comes_in_one_archive(pages: Pages, work: Work):
    client = somebody(work)
    page = pages.get(f"/clients/{client.id}/")
    assert f"/clients/{client.id}/everything/" in page.text
    answer = pages.http.get(f"/clients/{client.id}/everything/")
    found = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert {"READ-ME.txt", "client.json", "commissions.json", "history.json"} == set(found.namelist())
    assert "no-store" in answer.headers["Cache-Control"]


def test_a_client_is_forgotten_on_a_page_that_says_what_goes(pages: Pages, work: Work):
    client = somebody(work)
    path = f"/clients/{client.id}/forget/"
    number = client.commissions.get().number
    words = pages.get(path).words
    assert f"the words of 1 commission, {number}" in words and "texts in all: 4" in words
    refused = pages.send(path, {"confirm": "Orla"}, status=422)
    assert "number of a commission" in refused.errors["confirm"]
    pages.send(path, {"confirm": "Orla Fenwick"})
    page = pages.get(f"/clients/{client.id}/")
    assert "forgotten client" in page.words and "Orla" not in page.text
    assert "everything/" not in page.text
    for address in ("/clients/", f"/commissions/{number}/", "/log/"):
        assert "Orla" not in pages.get(address).text


def test_what_hinders_stands_there_instead_of_a_form(pages: Pages, work: Work, piece: Piece):
    commission = piece.commission
    page = pages.get(f"/clients/{commission.client_id}/forget/")
    assert f"{commission.number} is accepted" in page.words
    assert page.forms == []


def test_a_note_that_names_them_is_forgotten_where_it_is_ticked(pages: Pages, work: Work, piece: Piece):
    note = {"piece": piece.number, "stage": "survey"}
    for words in ("Orla Fenwick wants a softer edge", "Measure the stairs", "Orla measures in mm"):
        write_note(work.call(), **note, words=words)
    commission = piece.commission
    move_commission(work.call(), commission=commission.number, to="cancelled", reason="moved away")
    path = f"/clients/{commission.client_id}/forget/"
    page = pages.get(path)
    assert "Orla Fenwick wants a softer edge" in page.words and "Measure the stairs" in page.words
    pages.send(path, {"confirm": commission.number})
    notes = pages.get("/notes/").words
    assert "Fenwick" not in notes, "ticked from the start"
    assert "Measure the stairs" in notes and "Orla measures in mm" in notes


def test_our_own_hours_are_offered_beside_what_is_typed(pages: Pages, work: Work, piece: Piece):
    for n, minutes in enumerate((30, 45, 60)):
        done = work.accepted(**QUICK) if n else piece
        work.start(done, "survey")
        work.finish(done, "survey", measured=good(done, "survey", "finish"), minutes=minutes)
    rates = pages.get("/hours/rates/").words
    assert "Site survey and drawing approved piece 45 min 30–60 min 3" in rates
    commission = a_commission(work.call(), a_client(work.call()))
    new = a_piece(work.call(), commission)
    path = f"/commissions/{commission.number}/quote/"
    words = pages.get(path).words
    assert "Our own: 45 min, median of 3 jobs, 30 min to 1 h" in words
    assert "our own: 0.8 h, the medians of 3 jobs for 1 of 25 kinds of stage, 0.5 to 1 h" in words
    told = pages.send(path, {f"own/{new.number}": "on"}, status=409)
    assert "no rate of an hour" in told.errors[f"own/{new.number}"]
    pages.send("/shop/rates/", {"hourly_rate": "60"})
    pages.send(path, {f"own/{new.number}": "on", f"minutes/{new.number}/rip": "60"})
    assert Offer.objects.get().basis["pieces"][0]["hours"] == "1.75"
    page = pages.get(f"/commissions/{commission.number}/hours/").words
    assert "Quoted 1 h 45 min" in page and "Spent 0 min" in page
    money = pages.get(f"/commissions/{commission.number}/money/")
    assert f"/commissions/{commission.number}/hours/" in money.text


def test_a_draft_is_thrown_away_on_its_page(pages: Pages, work: Work, piece: Piece):
    commission = a_commission(work.call(), a_client(work.call()))
    a_piece(work.call(), commission)
    pages.send(f"/commissions/{commission.number}/quote/")
    offer = Offer.objects.get()
    pages.send(f"/offers/{offer.number}/", to="/drop/")
    assert not Offer.objects.exists()
    assert "thrown away" in pages.get(f"/commissions/{commission.number}/").words


def test_a_phone_drops_what_it_kept_once_somebody_is_forgotten(pages: Pages, work: Work):
    client = somebody(work)
    before = pages.http.get("/kept/").json()["looks"]
    assert pages.http.get("/kept/").json()["looks"] == before
    pages.send(f"/clients/{client.id}/forget/", {"confirm": "Orla Fenwick"})
    assert pages.http.get("/kept/").json()["looks"] != before
