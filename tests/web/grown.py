"""A shop that has grown over years: commissions copied as rows, read as if each had its events."""

from django.db import connection, transaction
from django.db.models import Model

from jobs.models import (
    Attempt,
    ClientQuestion,
    ClientUpdate,
    Commission,
    Event,
    Invoice,
    Offer,
    OfferLine,
    Paper,
    Payment,
    Piece,
    PriceLine,
    SafetyTask,
    Stage,
    Wait,
    WaitEstimate,
)

COMMISSION = "(SELECT id FROM jobs_commission WHERE number = %(number)s)"
PIECE = "(SELECT id FROM jobs_piece WHERE number LIKE %(number)s || '-%%')"
STAGE = f"(SELECT id FROM jobs_stage WHERE piece_id IN {PIECE})"
WAIT = f"(SELECT id FROM jobs_wait WHERE stage_id IN {STAGE})"
PAPER = f"(SELECT id FROM jobs_paper WHERE commission_id IN {COMMISSION})"
OFFER = f"(SELECT id FROM jobs_offer WHERE commission_id IN {COMMISSION})"
BELONGS = {
    Commission: f"id IN {COMMISSION}",
    PriceLine: f"commission_id IN {COMMISSION}",
    Piece: f"id IN {PIECE}",
    Stage: f"id IN {STAGE}",
    Attempt: f"stage_id IN {STAGE}",
    Wait: f"stage_id IN {STAGE}",
    WaitEstimate: f"wait_id IN {WAIT}",
    SafetyTask: f"piece_id IN {PIECE}",
    Payment: f"commission_id IN {COMMISSION}",
    Paper: f"id IN {PAPER}",
    Invoice: f"paper_id IN {PAPER}",
    Offer: f"id IN {OFFER}",
    OfferLine: f"offer_id IN {OFFER}",
    ClientUpdate: f"commission_id IN {COMMISSION}",
    ClientQuestion: f"commission_id IN {COMMISSION}",
    Event: "stream = 'commission:' || %(number)s OR stream LIKE 'piece:' || %(number)s || '-%%'",
}
"""Which rows of a table belong to a commission."""
MOVED = {"seq", "id"} | {
    f"{of}_id" for of in ["commission", "piece", "stage", "wait", "paper", "payment", "offer", "answer"]
}
NAMED = (Commission, Piece, Offer)
"""Their numbers begin with the commission's; papers are counted by the year."""
STEP = 10**9
GROWN = {"2026-001": 380, "2026-003": 60, "2026-004": 18, "2026-005": 15, "2026-006": 10, "2026-007": 10}
"""Copies of each commission of the whole shop: closed, declined, accepted, in clamps, asked, begun."""


def grown_to_500() -> None:
    """Copy the seven commissions of ``a_whole_shop`` to five hundred, most of them closed."""
    for number, count in GROWN.items():
        copied(number, count)
    assert Commission.objects.count() == 500


@transaction.atomic
def copied(number: str, count: int) -> None:
    """Copy a commission with all that belongs to it so many times."""
    rows = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < %(count)s) "
    told = {"number": number, "count": count}
    with connection.cursor() as cursor:
        for model, mine in BELONGS.items():
            columns = [f.column for f in model._meta.concrete_fields]
            copies = ", ".join(_copy_of(column, of=model) for column in columns)
            table = model._meta.db_table
            into = f"INSERT INTO {table} ({', '.join(columns)})"
            cursor.execute(f"{into} {rows} SELECT {copies} FROM {table}, n WHERE {mine}", told)


def _copy_of(column: str, *, of: type[Model]) -> str:
    if column in MOVED:
        return f"{column} + i * {STEP}"
    if of is SafetyTask and column == "done_at":
        return "opened_at"
    if column in ("hash", "prev_hash"):
        return f"i || substr({column}, 1, 50)"
    if column == "number" and of is Paper:
        return f"{column} || 'x' || i"
    if column == "stream" or (column == "number" and of in NAMED):
        return f"replace({column}, %(number)s, %(number)s || 'x' || i)"
    return column
