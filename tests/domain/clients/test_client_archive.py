"""A client's archive holds every paper as issued and every picture, and nothing of anybody else."""

import io
import json
import zipfile
from pathlib import Path

import pytest
from PIL import Image

from jobs.core import blobs
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.notes.pictures import remove_picture, take_picture
from jobs.domain.overviews.client_data import client_file
from jobs.domain.papers.issuing import record_rendering
from jobs.log.private_texts import FORGOTTEN
from jobs.models import Paper, Payment, Picture, Piece, PrivateText
from tests.shop_fixtures import SHORT, Work, a_price, the_paper

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_files(tmp_path: Path, settings) -> None:
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


def archive(work: Work, piece: Piece) -> zipfile.ZipFile:
    with client_file(piece.commission.client, now=work.now) as held:
        return zipfile.ZipFile(io.BytesIO(held.read()))


def a_picture(work: Work, piece: Piece, color: str, words: str) -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), color).save(out, "PNG")
    take_picture(work.call(), piece=piece.number, stage="survey", picture=out.getvalue(), words=words)
    return Picture.objects.latest("id")


def with_file(work: Work, paper: Paper) -> bytes:
    """Give a paper its file, as the worker does; return the bytes."""
    content = f"%PDF-1.7 of {paper.number}".encode()
    sha256 = blobs.store(content)
    record_rendering(work.call(), paper=paper.number, sha256=sha256, size_bytes=len(content))
    return content


def papers(work: Work, piece: Piece) -> list[Paper]:
    """Return an invoice, a receipt and a statement, which belongs to no commission."""
    number = piece.commission.number
    a_price(work.call(), piece.commission)
    invoice = the_paper(issue_invoice(work.call(), commission=number))
    record_payment(work.call(), commission=number, amount=invoice.invoice.due)
    paid = Payment.objects.latest("id")
    receipt = the_paper(issue_receipt(work.call(), payment=paid.id))
    statement = the_paper(issue_statement(work.call(), client=piece.commission.client_id))
    return [invoice, receipt, statement]


def names(found: zipfile.ZipFile, folder: str) -> set[str]:
    return {name for name in found.namelist() if name.startswith(folder)}


def test_each_paper_is_in_it_as_it_was_issued_and_no_other_clients(work: Work):
    mine, other = work.accepted(**SHORT), work.accepted(**SHORT)
    files = {f"papers/{paper.number}.pdf": with_file(work, paper) for paper in papers(work, mine)}
    for paper in papers(work, other):
        with_file(work, paper)
    found = archive(work, mine)
    assert {name: found.read(name) for name in names(found, "papers/")} == files and len(files) == 3


def test_a_paper_still_being_prepared_has_no_file_in_it(work: Work):
    piece = work.accepted(**SHORT)
    first, *_ = papers(work, piece)
    with_file(work, first)
    assert names(archive(work, piece), "papers/") == {f"papers/{first.number}.pdf"}


def test_each_picture_is_in_it_with_its_words_removed_ones_too(work: Work):
    mine, other = work.accepted(**SHORT), work.accepted(**SHORT)
    shown, removed = a_picture(work, mine, "peru", "a knot"), a_picture(work, mine, "navy", "a flaw")
    a_picture(work, other, "lime", "somebody else's top")
    remove_picture(work.call(), picture=removed.id)
    found = archive(work, mine)
    assert names(found, "pictures/") == {f"pictures/{p.id}.jpg" for p in (shown, removed)}
    for picture, color in ((shown, (205, 133, 63)), (removed, (0, 0, 128))):
        with Image.open(io.BytesIO(found.read(f"pictures/{picture.id}.jpg"))) as seen:
            assert (seen.format, seen.size) == ("JPEG", (64, 48))
            pixel = seen.getpixel((32, 24))
            assert max(abs(a - b) for a, b in zip(pixel, color, strict=True)) <= 4  # JPEG loses a little
    (commission,) = json.loads(found.read("commissions.json"))
    assert [(p["id"], p["words"]) for p in commission["pictures"]] == [
        (shown.id, "a knot"), (removed.id, "a flaw"),
    ]  # fmt: skip
    assert "somebody else" not in found.read("history.json").decode()


def test_a_picture_that_was_forgotten_is_left_out_and_the_rest_stays(work: Work):
    piece = work.accepted(**SHORT)
    kept, gone = a_picture(work, piece, "peru", "a knot"), a_picture(work, piece, "navy", "a flaw")
    PrivateText.objects.filter(id=gone.picture_ref).delete()
    found = archive(work, piece)
    assert names(found, "pictures/") == {f"pictures/{kept.id}.jpg"}
    assert FORGOTTEN in found.read("history.json").decode()
