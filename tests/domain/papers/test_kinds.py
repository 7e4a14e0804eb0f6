"""Kinds of paper: a declared kind is all that a paper of the work needs."""

import json
from dataclasses import replace
from typing import Any

import pytest

from jobs.core.errors import AlreadyDone, Invalid, NotYet, WrongState
from jobs.domain.papers import kinds
from jobs.domain.papers.issuing import issue_work_paper, withdraw_paper
from jobs.domain.papers.kinds import (
    Step,
    WorkPaper,
    draft_content,
    drafted_kinds,
    paper_kind,
    papers_of_work,
    register,
    work_paper,
)
from jobs.domain.papers.staleness import is_stale
from jobs.log.private_texts import read
from jobs.models import Commission, Paper
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, an_owner, the_paper

RACK_NOTE = WorkPaper(
    key="rack-note",
    prefix="N",
    title="Rack note",
    issue_it="Issue the rack note",
    about="It says where the boards lie.",
    content=lambda commission: {"lies": f"Rack of {commission.number}"},
    layout=lambda frozen: f"<p>{frozen['lies']}</p>",
    steps=(Step.ACCEPTED, Step.IN_SHOP),
    outdated_by=("piece_added",),
)


@pytest.fixture(autouse=True)
def other_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep what a test registers from the tests after it."""
    monkeypatch.setattr(kinds, "_kinds", dict(kinds._kinds))


@pytest.fixture
def work(db: None) -> Work:
    return Work(an_owner())


def test_a_declared_paper_is_numbered_frozen_drafted_withdrawn_and_grows_stale(work: Work):
    register(RACK_NOTE)
    piece = work.accepted()
    number = piece.commission.number
    assert "rack-note" in drafted_kinds()
    assert draft_content("rack-note", piece.commission, work.now.date()) == {"lies": f"Rack of {number}"}
    first = the_paper(issue_work_paper(work.call(), kind="rack-note", commission=number))
    said = json.loads(read(first.frozen_ref))
    assert (first.number, said["lies"], said["client"]["name"]) == (
        "N2026-0001", f"Rack of {number}", "Orla Fenwick",
    )  # fmt: skip
    assert not is_stale(first)
    with pytest.raises(AlreadyDone, match="rack note N2026-0001 is issued"):
        issue_work_paper(work.call(), kind="rack-note", commission=number)
    withdraw_paper(work.call(), paper=first.number, reason="moved")
    again = the_paper(issue_work_paper(work.call(), kind="rack-note", commission=number))
    a_piece(work.call(), piece.commission)
    assert again.number == "N2026-0002" and is_stale(again)


def test_a_declared_paper_is_refused_without_a_piece_and_at_another_step(work: Work):
    register(RACK_NOTE)
    empty = a_commission(work.call(), a_client(work.call()))
    with pytest.raises(WrongState, match="is enquiry") as refused:
        issue_work_paper(work.call(), kind="rack-note", commission=empty.number)
    assert refused.value.allowed == "commissions that are accepted, in the shop"
    Commission.objects.filter(id=empty.id).update(step=Step.ACCEPTED)
    with pytest.raises(NotYet, match="no piece yet"):
        issue_work_paper(work.call(), kind="rack-note", commission=empty.number)


@pytest.mark.parametrize(
    "changed, says",
    [
        ({"key": "care-sheet"}, "care-sheet is Care card already"),
        ({"prefix": "I"}, "I is Invoice already"),
        ({"address": "checklist"}, "checklist is Delivery checklist already"),
        ({"key": "a-note-with-a-name-too-long"}, "longer than 24"),
        ({"steps": ()}, "no step"),
    ],
)
def test_a_kind_that_cannot_be_told_from_another_or_never_issued_is_refused(
    changed: dict[str, Any], says: str
):
    with pytest.raises(TypeError, match=says):
        register(replace(RACK_NOTE, **changed))


def test_the_papers_of_the_work_are_those_without_money():
    every = {kind.key for kind in kinds.paper_kinds()}
    assert every - {kind.key for kind in papers_of_work()} == set(Paper.MONEY)


def test_an_unknown_kind_is_refused_with_those_there_are():
    with pytest.raises(Invalid, match="no such kind of paper") as refused:
        paper_kind("poem")
    assert "care-sheet" in str(refused.value.allowed)
    with pytest.raises(Invalid) as refused:
        work_paper(Paper.INVOICE)
    assert "invoice" not in str(refused.value.allowed)
