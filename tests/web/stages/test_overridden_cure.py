"""A cure that the maker cuts short: nothing a client reads names a day before the computed one."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from jobs.documents.kit.wording import day
from jobs.documents.render import render
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_links import make_link
from jobs.domain.clients.portal_wording import day_words
from jobs.domain.clients.updates import tell_client
from jobs.domain.overviews.client_portal import drafted
from jobs.domain.stages.commands import start_stage
from jobs.domain.stages.rework import redo_stage
from jobs.domain.stages.wait_commands import finish_wait
from jobs.models import Person, Piece, Wait
from jobs.worker.outbox import dispatch_outbox
from tests.documents.reading import words
from tests.mailbox import MailServer, text_of
from tests.shop_fixtures import (
    INCHES,
    ROUTES,
    SHORT,
    Work,
    issue_care_sheet,
    issue_checklist,
    quick_sheets,
    the_paper,
)
from tests.web.pages import Page, Pages

CURE = timedelta(days=21)
"""Cure of a water-borne finish without a sheet: common practice, no source."""


@pytest.fixture(autouse=True)
def _own_files(tmp_path: Any, settings: Any) -> None:
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


@pytest.fixture
def coated(work: Work, settings: Any) -> Piece:
    """Return a piece whose last coat went on yesterday, and cures for three weeks."""
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    piece = work.accepted(**SHORT | {"finish_face": "water-borne"})
    work.do_until(piece, last_coat(piece))
    work.now = timezone.now()
    return piece


def last_coat(piece: Piece) -> str:
    return str(piece.stages.filter(key__startswith="seal").latest("position").key)


def the_cure(piece: Piece) -> Wait:
    return Wait.objects.get(stage__piece=piece, kind="full cure")


def cut_short(work: Work, piece: Piece, way: str) -> date:
    """End the cure at once, with a reason; return the day it was computed to end."""
    wait = the_cure(piece)
    computed: date = timezone.localdate(wait.since + CURE)
    assert timezone.localdate(wait.estimate.ready_at) == computed > timezone.localdate(work.now)
    if way == "ended":
        finish_wait(work.call(), wait=wait.id, reason="it has to leave the shop")
    else:
        why = {"wait:full cure": "it has to leave the shop"}
        start_stage(work.call(), piece=piece.number, stage="wrap", units=INCHES, override=why)
    wait.refresh_from_db()
    assert wait.step == Wait.Step.FINISHED
    return computed


WAYS = pytest.mark.parametrize("way", ["ended", "overridden at the start of what follows"])


@WAYS
def test_care_sheet_and_checklist_name_the_computed_day(work: Work, coated: Piece, way: str):
    computed = cut_short(work, coated, way)
    number = coated.commission.number
    care = words(render(the_paper(issue_care_sheet(work.call(), commission=number))))
    checklist = words(render(the_paper(issue_checklist(work.call(), commission=number))))
    assert f"as you like from {day(computed.isoformat())}" in care
    assert f"full use from {day(computed.isoformat())}" in checklist


@WAYS
def test_the_clients_page_goes_on_saying_that_it_cures(work: Work, coated: Piece, owner: Person, way: str):
    computed = cut_short(work, coated, way)
    link = f"/c/{make_link(owner, commission=coated.commission.number, now=timezone.now())[1]}/"
    page = Page(Browser().get(link))
    assert day_words(computed, timezone.localdate()) not in page.words, "the day is the maker's to tell"
    assert "The finish is curing" in page.words
    if way != "ended":
        work.finish(coated, "wrap")
    else:
        work.do(coated, "wrap")
    page = Page(Browser().get(link))
    assert "Ready for delivery" in page.words
    assert "The finish is curing" in page.words


@WAYS
def test_news_by_mail_name_the_computed_day(work: Work, coated: Piece, settings: Any, way: str):
    change_client(work.call(), client=coated.commission.client_id, email="orla@fenwick.example")
    computed = cut_short(work, coated, way)
    told = day_words(computed, timezone.localdate())
    proposed = drafted(coated.commission, now=work.now)
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        tell_client(work.call(), commission=coated.commission.number, words=proposed)
        dispatch_outbox(work.now + timedelta(minutes=1))
        (mail,) = server.mails
    assert f"the finish is curing, until about {told}" in " ".join(text_of(mail).split())
    assert f"not before {told}" in " ".join(text_of(mail).split())


def test_the_override_stays_on_record_for_the_maker(work: Work, coated: Piece, pages: Pages):
    cut_short(work, coated, "ended")
    page = pages.get(f"/commissions/{coated.commission.number}/history/?all")
    assert "it has to leave the shop" in page.words


def test_a_cure_that_was_waited_for_names_the_day_it_ended(work: Work, coated: Piece):
    wait = the_cure(coated)
    work.now = wait.estimate.ready_at + timedelta(days=2)
    finish_wait(work.call(), wait=wait.id)
    care = issue_care_sheet(work.call(), commission=coated.commission.number)
    assert f"as you like from {day(timezone.localdate(work.now).isoformat())}" in words(
        render(the_paper(care))
    )


def test_done_again_only_the_new_cure_counts(work: Work, coated: Piece):
    """The computed day of the sanded coat does not hold what was coated again."""
    cut_short(work, coated, "ended")
    redo_stage(work.call(), piece=coated.number, stage=last_coat(coated), reason="runs")
    work.go(days=3)
    work.do(coated, last_coat(coated))
    care = issue_care_sheet(work.call(), commission=coated.commission.number)
    new = Wait.objects.filter(stage__piece=coated, kind="full cure").latest("id")
    assert f"as you like from {day(timezone.localdate(new.since + CURE).isoformat())}" in words(
        render(the_paper(care))
    )
