"""An issued paper and the worker: rendered once, kept for ever, a failure keeps its number."""

import threading
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection

from jobs.core import blobs
from jobs.core.errors import Invalid, NotFound, NotYet
from jobs.documents import invoice
from jobs.documents.kit.pdf import CannotRender
from jobs.documents.render import draft, render
from jobs.domain.clients.commands import change_client
from jobs.domain.overviews.papers import paper_view
from jobs.domain.papers.issuing import withdraw_paper
from jobs.domain.papers.kinds import drafted_kinds
from jobs.domain.workshop.commands import set_shop
from jobs.log.commands import verify_log
from jobs.log.outbox import CLAIM, LONGEST_DELAY
from jobs.models import Event, OutboxMessage, Paper, PrivateText
from jobs.worker import outbox
from jobs.worker.outbox import FIRST_DELAY, dispatch_outbox
from tests.documents.reading import words
from tests.documents.shop import a_shop, file_of, issued_checklist, issued_invoice, priced, rendered
from tests.needs import needs
from tests.shop_fixtures import NOON

pytestmark = [pytest.mark.django_db, needs("weasyprint"), pytest.mark.takes(13)]


def standing(paper: Paper) -> str:
    paper.refresh_from_db()
    return paper_view(paper, with_money=True, today=NOON.date())["standing"]


def fail(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    def failing(*_: object) -> bytes:
        raise error

    monkeypatch.setattr(outbox, "render", failing)


def test_an_issued_paper_is_prepared_by_the_worker_and_then_has_its_file():
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 2))
    assert standing(paper) == "being prepared"
    rendered(work)
    assert standing(paper) == "issued"
    assert file_of(paper).startswith(b"%PDF-")
    event = Event.objects.get(kind="paper_rendered")
    assert (event.actor, event.data["sha256"], event.data["bytes"]) == (
        "shop", paper.file_sha256, len(file_of(paper)),
    )  # fmt: skip
    verify_log()


def test_running_again_changes_nothing():
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 2))
    rendered(work)
    kept = file_of(paper)
    OutboxMessage.objects.update(done_at=None, next_at=work.now)
    rendered(work)
    assert Event.objects.filter(kind="paper_rendered").count() == 1
    assert file_of(paper) == kept
    assert not OutboxMessage.objects.filter(done_at=None).exists()


def test_nothing_is_due_before_its_time_or_twice():
    work = a_shop()
    issued_invoice(work, priced(work, work.accepted(), 1))
    assert dispatch_outbox(work.now - timedelta(hours=1)) == 0
    assert dispatch_outbox(work.now) == 1
    assert dispatch_outbox(work.now + timedelta(days=1)) == 0


def test_a_failed_render_keeps_the_number_and_the_reason_and_is_tried_again(monkeypatch: pytest.MonkeyPatch):
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    with monkeypatch.context() as broken:
        fail(broken, CannotRender("install the packages"))
        assert dispatch_outbox(work.now) == 0
    effect = OutboxMessage.objects.get()
    assert effect.error == "install the packages"
    assert effect.next_at == work.now + FIRST_DELAY
    assert standing(paper) == "being prepared"
    assert dispatch_outbox(work.now) == 0, "not before its next time"
    assert dispatch_outbox(effect.next_at) == 1
    assert standing(paper) == "issued"
    assert OutboxMessage.objects.get().error == ""
    assert paper.number == "I2026-0001"
    assert issued_invoice(work, priced(work, work.accepted(), 1)).number == "I2026-0002"


def test_the_delay_grows_and_has_an_end(monkeypatch: pytest.MonkeyPatch):
    work = a_shop()
    issued_invoice(work, priced(work, work.accepted(), 1))
    fail(monkeypatch, RuntimeError("the disk is full"))
    delays = []
    for _ in range(12):
        due = OutboxMessage.objects.get().next_at
        dispatch_outbox(due)
        delays.append(OutboxMessage.objects.get().next_at - due)
    assert delays[:3] == [FIRST_DELAY, FIRST_DELAY * 2, FIRST_DELAY * 4]
    assert delays[-1] == LONGEST_DELAY
    assert OutboxMessage.objects.get().error == "the disk is full"


def test_one_failing_paper_does_not_hold_up_the_others(monkeypatch: pytest.MonkeyPatch):
    work = a_shop()
    first = issued_invoice(work, priced(work, work.accepted(), 1))
    second = issued_invoice(work, priced(work, work.accepted(), 1))
    monkeypatch.setattr(outbox, "render", lambda paper: render(paper) if paper == second else 1 / 0)
    assert dispatch_outbox(work.now) == 1
    assert (standing(first), standing(second)) == ("being prepared", "issued")


def test_a_worker_that_died_with_its_claim_is_followed_by_another(monkeypatch: pytest.MonkeyPatch):
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    with monkeypatch.context() as dying:
        fail(dying, KeyboardInterrupt())  # type: ignore[arg-type]  # like a kill: no except clause sees it
        with pytest.raises(KeyboardInterrupt):
            dispatch_outbox(work.now)
    assert dispatch_outbox(work.now + CLAIM / 2) == 0
    assert dispatch_outbox(work.now + CLAIM) == 1
    assert standing(paper) == "issued"


def test_a_worker_that_died_before_marking_it_done_repeats_nothing():
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    outbox._render(paper.number, work.now)
    assert dispatch_outbox(work.now) == 1
    assert Event.objects.filter(kind="paper_rendered").count() == 1


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_render_a_paper_once():
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    done: list[int] = []
    start = threading.Barrier(2)

    def one() -> None:
        start.wait()
        done.append(dispatch_outbox(work.now))
        connection.close()

    workers = [threading.Thread(target=one) for _ in range(2)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert sorted(done) == [0, 1]
    assert Event.objects.filter(kind="paper_rendered").count() == 1
    assert standing(paper) == "issued"


def test_a_withdrawn_checklist_keeps_its_number_and_its_file():
    work = a_shop()
    piece = work.accepted()
    work.do_until(piece, "stock")
    paper = issued_checklist(work, piece.commission.number)
    rendered(work)
    kept = file_of(paper)
    withdraw_paper(work.call(), paper=paper.number, reason="wrong van on it")
    assert standing(paper) == "withdrawn"
    assert file_of(paper) == kept
    assert issued_checklist(work, piece.commission.number).number == "D2026-0002"


def test_a_checklist_withdrawn_before_it_was_rendered_still_gets_its_file():
    work = a_shop()
    piece = work.accepted()
    work.do_until(piece, "stock")
    paper = issued_checklist(work, piece.commission.number)
    withdraw_paper(work.call(), paper=paper.number, reason="wrong van on it")
    rendered(work)
    assert standing(paper) == "withdrawn"
    assert paper.number in words(file_of(paper))


def test_later_changes_reach_neither_the_file_nor_a_late_render():
    work = a_shop()
    first = priced(work, work.accepted(), 1)
    early, late = issued_invoice(work, first), issued_invoice(work, priced(work, work.accepted(), 1))
    dispatch_outbox(work.now)
    kept = file_of(early)
    Paper.objects.filter(id=late.id).update(file_sha256="")
    set_shop(work.call(), name="Another name", settings={"paper_size": "A4", "currency": "EUR"})
    change_client(work.call(), client=late.commission.client_id, name="Somebody else")
    late.refresh_from_db()
    text = words(render(late))
    assert "Another name" not in text and "Somebody else" not in text
    assert "Lindenau Table Works" in text and "Orla Fenwick" in text and "USD" in text
    assert file_of(early) == kept


def test_a_changed_template_does_not_reach_an_issued_file(monkeypatch: pytest.MonkeyPatch):
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    rendered(work)
    kept = file_of(paper)
    monkeypatch.setattr(invoice, "money", lambda amount, currency="": "redrawn")
    assert "redrawn" in words(render(paper))
    OutboxMessage.objects.update(done_at=None, next_at=work.now)
    rendered(work)
    assert file_of(paper) == kept


def test_a_file_that_was_altered_is_not_served(settings, tmp_path: Path):
    settings.FILES_DIR = tmp_path
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    rendered(work)
    paper.refresh_from_db()
    (tmp_path / paper.file_sha256).write_bytes(file_of(paper) + b" ")
    with pytest.raises(Exception, match="altered"):
        blobs.load(paper.file_sha256)


def test_a_paper_whose_words_were_forgotten_says_so():
    work = a_shop()
    paper = issued_invoice(work, priced(work, work.accepted(), 1))
    PrivateText.objects.filter(id=paper.frozen_ref).delete()
    with pytest.raises(NotFound, match="forgotten"):
        render(paper)
    assert dispatch_outbox(work.now) == 0
    assert "forgotten" in OutboxMessage.objects.get().error


@pytest.mark.parametrize("kind", drafted_kinds())
def test_a_draft_says_so_and_takes_no_number(kind: str):
    work = a_shop()
    piece = work.accepted()
    work.do_until(piece, "stock")
    number = priced(work, piece, 1)
    seq = Event.objects.count()
    text = words(draft(commission=number, kind=kind, now=work.now))
    assert "DRAFT" in text and "draft without a number" in text
    assert "2026-0001" not in text
    assert (Event.objects.count(), Paper.objects.count(), OutboxMessage.objects.count()) == (seq, 0, 0)
    issued = issued_invoice(work, number) if kind == Paper.INVOICE else issued_checklist(work, number)
    assert issued.number.endswith("2026-0001")
    rendered(work)
    assert "DRAFT" not in words(file_of(issued))


def test_a_draft_that_cannot_be_is_refused():
    work = a_shop()
    number = work.accepted().commission.number
    with pytest.raises(NotYet, match="has no price"):
        draft(commission=number, kind="invoice", now=work.now)
    with pytest.raises(Invalid, match="no such paper"):
        draft(commission=number, kind="poem", now=work.now)
    with pytest.raises(NotFound):
        draft(commission="2026-999", kind="invoice", now=work.now)
