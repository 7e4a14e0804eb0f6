"""What a client is asked to approve, and what a yes does."""

import pytest

from jobs.core.errors import AlreadyDone, Forbidden, GateShut, Invalid, Revised
from jobs.domain.clients.approvals import approvals_of, approve, ask_approval, to_ask
from jobs.domain.clients.updates import client_actor
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.overviews.bench import bench
from jobs.domain.reminders.queries import reminders_due
from jobs.domain.routes.approvals import mark_of
from jobs.log.rebuild import compare
from jobs.models import Approval, ClientUpdate, Event, Piece
from tests.shop_fixtures import INCHES, Work, a_call, a_client, good

pytestmark = pytest.mark.django_db


def ask(work: Work, piece: Piece, **more: object) -> None:
    chosen = {"drawings": [piece.number], "samples": [piece.number]}
    ask_approval(work.call(), commission=piece.commission.number, **(more or chosen))


def say_yes(work: Work, piece: Piece, what: str, **more: object) -> Approval:
    approval = Approval.objects.filter(piece=piece.number, what=what).last()
    client = client_actor(piece.commission.client)
    shown = {approval.id: more.get("mark", mark_of(approval.shown))}
    approve(a_call(client, work.call().at), commission=piece.commission.number, shown=shown, link=7)
    approval.refresh_from_db()
    return approval


def test_a_yes_is_on_record_with_what_was_shown_when_and_by_which_link(work: Work, piece: Piece):
    ask(work, piece)
    approval = say_yes(work, piece, "drawing")
    event = Event.objects.get(kind="client_approved")
    assert event.actor == client_actor(piece.commission.client) and approval.approved_by == event.actor
    assert event.data["link"] == 7 and event.data["shown"]["length_len"] == piece.inputs["length_len"]
    assert approval.approved_at == event.occurred_at
    assert compare() == []


def test_the_stage_finishes_by_the_yes_and_asks_for_the_rest(work: Work, piece: Piece):
    ask(work, piece)
    say_yes(work, piece, "drawing")
    work.start(piece, "survey")
    rest = {"way_in_measured": good(piece, "survey", "finish")["way_in_measured"]}
    with pytest.raises(GateShut) as shut:
        work.finish(piece, "survey", measured=rest)
    assert [one["key"] for one in shut.value.extra["shut"]] == ["sample_approved"]
    say_yes(work, piece, "sample")
    work.finish(piece, "survey", measured=rest)
    measured = piece.stages.get(key="survey").measured
    assert {name for name in measured} == {"way_in_measured", "drawing_approved", "sample_approved"}


def test_a_piece_that_changed_since_needs_another_yes(work: Work, piece: Piece):
    ask(work, piece)
    say_yes(work, piece, "drawing")
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "24"})
    piece.refresh_from_db()
    assert to_ask(piece.commission)[piece.number] == ["drawing", "sample"]
    work.start(piece, "survey")
    given = good(piece, "survey", "finish")
    del given["drawing_approved"]
    with pytest.raises(GateShut, match="Drawing approved"):
        work.finish(piece, "survey", measured=given)
    drawing = next(one for one in approvals_of(piece.commission) if one["what"] == "drawing")
    assert drawing["approved_at"] and not drawing["is_current"]


def test_what_changed_after_it_was_shown_is_not_approved(work: Work, piece: Piece):
    ask(work, piece)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "24"})
    with pytest.raises(Revised):
        say_yes(work, piece, "drawing")
    assert say_yes(work, piece, "sample").approved_at, "the wood is the same"


def test_a_new_name_changes_nothing_that_was_approved(work: Work, piece: Piece):
    ask(work, piece)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"label": "The long one"})
    assert say_yes(work, piece, "drawing").approved_at


@pytest.mark.parametrize(
    ("wrong", "refusal"), [({"mark": "0" * 64}, Revised), ({"mark": ""}, Revised), ({}, AlreadyDone)]
)
def test_a_yes_counts_once_and_for_what_was_shown(
    work: Work, piece: Piece, wrong: dict[str, str], refusal: type[Exception]
):
    ask(work, piece)
    if refusal is AlreadyDone:
        say_yes(work, piece, "drawing")
    with pytest.raises(refusal):
        say_yes(work, piece, "drawing", **wrong)


def test_only_the_client_of_the_commission_says_yes(work: Work, piece: Piece):
    ask(work, piece)
    approval = Approval.objects.first()
    for by in (work.by.id, client_actor(a_client(work.call(), "Mirek Dvorsky"))):
        with pytest.raises(Forbidden):
            shown = {approval.id: mark_of(approval.shown)}
            approve(a_call(by, work.call().at), commission=piece.commission.number, shown=shown)


def test_nothing_else_can_be_asked(work: Work, piece: Piece):
    with pytest.raises(Invalid, match="nothing was chosen"):
        ask(work, piece, drawings=[])
    with pytest.raises(Invalid, match="not to be approved"):
        ask(work, piece, drawings=["2026-999-1"])
    work.do(piece, "survey")
    with pytest.raises(Invalid, match="not to be approved"):
        ask(work, piece)


def test_with_words_the_client_hears_of_it(work: Work, piece: Piece):
    ask(work, piece, drawings=[piece.number], words="Your drawing is ready.")
    assert ClientUpdate.objects.count() == 1
    ask(work, piece, samples=[piece.number])
    assert ClientUpdate.objects.count() == 1


def test_the_shop_sees_a_yes_at_once(work: Work, piece: Piece):
    ask(work, piece)
    say_yes(work, piece, "drawing")
    due = [one for one in reminders_due(now=work.now, person=work.by.id) if one["kind"] == "client approved"]
    assert [one["page"] for one in due] == [f"/pieces/{piece.number}/next/"]
    assert "approved the drawing" in due[0]["title"]


def test_the_bench_says_what_lies_with_a_client_until_it_is_answered(work: Work, piece: Piece):
    def lies_with_them() -> list[str]:
        return [one["what"] for one in bench(now=work.now, person=work.by.id)["to_approve"]]

    assert lies_with_them() == []
    ask(work, piece)
    assert lies_with_them() == ["drawing", "sample"]
    say_yes(work, piece, "drawing")
    assert lies_with_them() == ["sample"]
    work.do(piece, "survey")
    assert lies_with_them() == [], "the shop said it itself"
