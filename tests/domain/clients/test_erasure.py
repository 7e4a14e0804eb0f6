"""The erasure of a client: their texts go, records stay to the end of their hold, the log verifies."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from jobs.core import blobs
from jobs.core.errors import Forbidden, Invalid, NotFound, WrongState
from jobs.documents.render import render
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.statements import issue_statement
from jobs.domain.clients import erasure_cleanup
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.erasure import Elsewhere, elsewhere, events_of, preview, texts_of
from jobs.domain.clients.erasure_commands import CLEAR_TRACES, REMOVE_FILE, end_hold, end_holds, forget_client
from jobs.domain.clients.portal_links import find_link, make_link
from jobs.domain.clients.updates import tell_client
from jobs.domain.commissions.commissions import move_commission, open_commission
from jobs.domain.notes.pictures import take_picture
from jobs.domain.overviews.client_portal import client_page
from jobs.domain.overviews.commission import client_views, commission_rows, commission_view
from jobs.domain.workshop.commands import set_shop
from jobs.log.commands import verify_log
from jobs.log.private_texts import read, store_private_text
from jobs.log.rebuild import compare
from jobs.log.scratch_database import state_models
from jobs.models import (
    Client,
    ClientQuestion,
    CommandKey,
    Commission,
    Event,
    OutboxMessage,
    Paper,
    Picture,
    PrivateText,
)
from jobs.web.commissions.history import event_rows, names_of_people
from tests.forgettable import MARKS, ODD, WHO, a_forgettable_client, photo
from tests.shop_fixtures import (
    INCHES,
    SHORT,
    Work,
    a_call,
    a_client,
    a_commission,
    a_maker,
    a_price,
    the_paper,
)

pytestmark = pytest.mark.django_db
HELD = ("invoice", "receipt")


@pytest.fixture
def client(work: Work) -> Client:
    return a_forgettable_client(work)


@pytest.fixture
def briefly(work: Work) -> Client:
    """Return a client whose one commission was declined."""
    client = a_client(work.call(), **WHO)
    number = a_commission(work.call(), client, f"Shelf of {ODD}").number
    move_commission(work.call(), commission=number, to="declined", reason="too dear")
    return client


def forget(work: Work, client: Client, **more: object) -> Client:
    forget_client(work.call(), client=client.id, confirm=read(client.name_ref), **more)
    return Client.objects.get(id=client.id)


def marked() -> list[PrivateText]:
    return [t for t in PrivateText.objects.all() if any(mark in t.text for mark in MARKS)]


def named(client: Client) -> list[int]:
    return [one.seq for one in found_elsewhere(client)]


def found_elsewhere(client: Client) -> list[Elsewhere]:
    return elsewhere(client, list(events_of(client)))


def test_what_stays_with_the_name_is_what_the_law_holds_and_the_log_verifies(work: Work, client: Client):
    assert len(marked()) > 30
    count = verify_log().count
    forget(work, client, also=named(client))
    assert verify_log().count == count + 2, "the open question is settled first"
    assert not ClientQuestion.objects.filter(settled_at=None).exists()
    assert compare() == []
    held = Paper.objects.filter(kind__in=HELD)
    assert {t.id for t in marked()} == {p.frozen_ref for p in held}
    assert held.count() == 3, "deposit, invoice, receipt"
    rows = "\n".join(str(row) for m in [*state_models(), Event] for row in m._default_manager.values())
    assert [mark for mark in MARKS if mark in rows] == []


def test_a_forgotten_client_is_called_so_everywhere(work: Work, client: Client):
    gone = forget(work, client)
    view = client_views([gone])[0]
    assert (view["name"], view["email"], view["address"]) == ("forgotten client", "", "")
    commissions = list(gone.commissions.select_related("client"))
    for commission in commissions:
        shown = commission_view(commission, now=work.now, with_money=True)
        assert (shown["client"]["name"], shown["title"]) == ("forgotten client", "(forgotten)")
        assert client_page(commission, now=work.now)["title"] == "(forgotten)"
    rows = commission_rows(commissions, now=work.now)
    assert {row["client"]["name"] for row in rows} == {"forgotten client"}
    told = event_rows(Event.objects.all(), units=INCHES, with_money=True, names=names_of_people())
    assert ODD not in str([row for row in told if row["stream"] == f"client:{gone.id}"])
    standings = {p["number"][0]: p["standing"] for c in commissions for p in shown_papers(c, work)}
    assert standings == {
        "Q": "forgotten", "J": "forgotten", "D": "forgotten", "K": "forgotten", "I": "being prepared",
        "R": "being prepared",
    }  # fmt: skip


def shown_papers(commission: Commission, work: Work) -> list[dict]:
    return commission_view(commission, now=work.now, with_money=True)["papers"]


def test_its_links_open_nothing_and_nothing_new_is_written_of_it(work: Work, briefly: Client):
    number = briefly.commissions.get().number
    _, token = make_link(work.by, commission=number, now=work.now)
    assert find_link(token)
    forget(work, briefly)
    assert find_link(token) is None
    for act in (
        lambda: change_client(work.call(), client=briefly.id, name="Somebody"),
        lambda: open_commission(work.call(), client=briefly.id, title="Another"),
        lambda: tell_client(work.call(), commission=number, words="News"),
        lambda: issue_statement(work.call(), client=briefly.id),
        lambda: make_link(work.by, commission=number, now=work.now),
        lambda: forget_client(work.call(), client=briefly.id, confirm=number),
    ):
        with pytest.raises(WrongState, match="forgotten"):
            act()


def test_files_that_only_they_named_go_and_the_same_bytes_of_another_stay(work: Work, client: Client):
    shared = work.accepted(**SHORT)
    take_picture(work.call(), piece=shared.number, stage="survey", picture=photo("teal"))
    (kept,) = PrivateText.objects.filter(
        id__in=Picture.objects.filter(piece=shared.number).values("picture_ref")
    )
    mine = Picture.objects.get(stage="glue-up")
    assert PrivateText.objects.get(id=mine.picture_ref).text == kept.text
    forget(work, client, also=named(client))
    told = list(OutboxMessage.objects.filter(kind=REMOVE_FILE).values_list("subject", flat=True))
    assert len(told) == 3 and kept.text in told, "of the commission, of the stage and of the note"
    for name in told:
        erasure_cleanup.remove_file(name)
    assert blobs.load(kept.text)
    for other in {*told} - {kept.text}:
        with pytest.raises(NotFound):
            blobs.load(other)
    assert OutboxMessage.objects.filter(kind=CLEAR_TRACES).count() == 1


def test_what_names_them_elsewhere_goes_only_where_it_is_chosen(work: Work, client: Client):
    found = {one.kind: one for one in found_elsewhere(client) if ODD in one.words}
    assert set(found) == {"board_added", "note_written"}
    assert {one.in_full for one in found.values()} == {False}, "a word of the name alone"
    assert "Wax the cauls" in [one.words for one in found_elsewhere(client)], "it was written at their piece"
    with pytest.raises(Invalid) as refused:
        forget(work, client, also=[1])
    assert refused.value.field == "also"
    forget(work, client, also=[found["board_added"].seq])
    left = [t.text for t in marked() if t.hold_until is None]
    assert left == [f"{ODD} wants no squeeze-out"]


@pytest.mark.parametrize("confirm", ["", "Ottilie", "2026-999", "forgotten client"])
def test_it_has_to_be_meant(work: Work, briefly: Client, confirm: str):
    with pytest.raises(Invalid) as refused:
        forget_client(work.call(), client=briefly.id, confirm=confirm)
    assert refused.value.field == "confirm"
    assert len(marked()) == 5


def test_a_number_of_theirs_confirms_as_well(work: Work, briefly: Client):
    forget_client(work.call(), client=briefly.id, confirm=f" {briefly.commissions.first().number} ")
    assert client_views([Client.objects.get(id=briefly.id)])[0]["name"] == "forgotten client"


def test_what_runs_or_is_owed_is_named(work: Work):
    piece = work.accepted(**SHORT)
    commission = piece.commission
    a_price(work.call(), commission)
    work.do_until(piece, "survey")
    issue_invoice(work.call(), commission=commission.number)
    with pytest.raises(WrongState) as refused:
        forget_client(work.call(), client=commission.client_id, confirm=commission.number)
    number = commission.number
    assert refused.value.extra["hindrances"] == [f"{number} is accepted", "invoice I2026-0001 is not paid"]
    assert client_views([commission.client])[0]["name"] == "Orla Fenwick"


def test_it_is_the_owners(work: Work, briefly: Client):
    with pytest.raises(Forbidden):
        forget_client(a_call(a_maker(), work.now), client=briefly.id, confirm=f"Ottilie {ODD}")


def test_another_clients_words_stay(work: Work, briefly: Client):
    other = a_client(work.call(), "Orla Fenwick", email="orla@fenwick.example")
    before = set(texts_of(events_of(other)).values_list("id", flat=True))
    forget(work, briefly, also=named(briefly))
    assert set(texts_of(events_of(other)).values_list("id", flat=True)) == before
    assert client_views([other])[0]["email"] == "orla@fenwick.example"


def test_papers_are_let_go_after_the_last_day_of_their_hold(work: Work, client: Client):
    """Issued in 2026 and held for ten years: to the end of 2036."""
    forget(work, client, also=named(client))
    assert preview(client, today=date(2036, 12, 31))["held"] == [
        {"number": n, "until": date(2036, 12, 31)} for n in ("I2026-0001", "I2026-0002", "R2026-0001")
    ]
    assert end_holds(datetime(2036, 12, 31, 23, tzinfo=UTC)) == 0
    assert render(Paper.objects.get(number="I2026-0001"))
    assert end_holds(datetime(2037, 1, 1, 3, tzinfo=UTC)) == 1
    assert marked() == []
    assert end_holds(datetime(2037, 1, 2, 3, tzinfo=UTC)) == 0
    assert Paper.objects.get(number="I2026-0001").is_forgotten
    assert compare() == [] and verify_log()


@pytest.mark.parametrize("years, until", [(0, None), (3, date(2029, 12, 31)), (10, date(2036, 12, 31))])
def test_the_shop_says_how_many_years(work: Work, years: int, until: date | None):
    set_shop(work.call(), settings={"keep_papers_years": years})
    commission = work.accepted(**SHORT).commission
    a_price(work.call(), commission)
    paper = the_paper(issue_invoice(work.call(), commission=commission.number))
    assert PrivateText.objects.get(id=paper.frozen_ref).hold_until == until


def test_a_hold_ends_only_of_who_is_forgotten(work: Work, briefly: Client):
    with pytest.raises(WrongState):
        end_hold(work.call(), client=briefly.id)


def test_a_key_used_for_them_stays_used_and_says_nothing(work: Work, briefly: Client):
    call = work.call(key="k-1", fingerprint="what was asked")
    forget_client(call, client=briefly.id, confirm=f"Ottilie {ODD}")
    assert CommandKey.objects.get().fingerprint
    erasure_cleanup._clear_keys(events_of(briefly))
    assert CommandKey.objects.get().fingerprint == CommandKey.objects.get().salt == ""
    again = forget_client(call, client=briefly.id, confirm=f"Ottilie {ODD}")
    assert again.replayed


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_a_deleted_text_is_not_left_in_the_pages_of_the_database():
    store_private_text(f"{ODD} in the pages")
    with somebody_busy_elsewhere():
        PrivateText.objects.all().delete()
        assert ODD.encode() in pages_of_the_database(), "or there would be nothing to clear"
        erasure_cleanup.rewrite_pages()
        assert ODD.encode() not in pages_of_the_database()


@contextmanager
def somebody_busy_elsewhere() -> Iterator[None]:
    """Hold a transaction in another database of the server, begun before the text was deleted."""
    if connection.vendor == "sqlite":
        yield
        return
    with psycopg.connect(os.environ["SHOP_TEST_POSTGRES_URL"]) as other:
        other.execute("SELECT pg_current_xact_id()")
        yield


def pages_of_the_database() -> bytes:
    """Return the bytes of the table's file, or of the whole database with its write-ahead log."""
    if connection.vendor == "sqlite":
        path = Path(str(connection.settings_dict["NAME"]))
        files = (path, path.with_name(f"{path.name}-wal"))
        return b"".join(one.read_bytes() for one in files if one.exists())
    with connection.cursor() as cursor:
        cursor.execute("CHECKPOINT")
        cursor.execute("SELECT pg_read_binary_file(pg_relation_filepath('jobs_privatetext'))")
        return bytes(cursor.fetchone()[0])
