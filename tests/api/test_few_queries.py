"""How many queries a command over the API makes: it reads everything it needs once."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.papers.issuing import record_rendering
from jobs.log.commands import call_now
from jobs.models import Person, ReminderDue
from tests.api.client import Api
from tests.api.driving import Order
from tests.shop_fixtures import accept_bare

MOST_TO_FINISH_A_GLUE_UP = 25
MOST_TO_ACCEPT_A_QUOTE = 38
"""The mail that confirms it, how it stands, and the reminders of a quote and of approvals take seven."""
TRANSACTIONS = re.compile("BEGIN|SAVEPOINT|RELEASE|COMMIT")

pytestmark = pytest.mark.both_databases


def asked(request: Callable[[], Any]) -> int:
    """Count the queries of a request, transactions apart; pytest shows them where a test fails."""
    with CaptureQueriesContext(connection) as queries:
        answer = request()
    assert answer.status_code == 200, answer.data
    told = [q["sql"] for q in queries if not TRANSACTIONS.match(q["sql"])]
    print(*told, sep="\n")
    return len(told)


def test_finishing_a_glue_up(api: Api, accepted: str):
    order = Order(api, accepted)
    order.do_until("dry-fit")
    assert order.start("glue-up").status_code == 200
    assert asked(lambda: order.finish("glue-up")) <= MOST_TO_FINISH_A_GLUE_UP
    assert {wait["wait"]["kind"] for wait in api.get("waits/").data} == {"scrape", "unclamp"}


def test_accepting_a_quote(api: Api, number: str, piece: dict[str, Any]):
    api.patch("shop/", {"hourly_rate": "60", "lumber_prices": {"black walnut": "14.50"}})
    made = api.post(f"commissions/{number}/quotes/", {"hours": {piece["number"]: "20"}})
    at = f"quotes/{made.data['offer']['number']}/"
    assert api.post(f"{at}issue/").status_code == 200
    assert asked(lambda: api.post(f"{at}accept/", {"version": 1})) <= MOST_TO_ACCEPT_A_QUOTE
    shown = api.get(f"commissions/{number}/").data
    assert (shown["step"], [p["what"] for p in shown["papers"]][-1]) == ("accepted", "deposit")


def test_recording_a_rendering_recomputes_no_reminder(api: Api, number: str, owner: Person):
    api.put(f"commissions/{number}/price/", {"lines": [{"description": "Top", "unit_price": "900"}]})
    accept_bare(call_now(owner.id), commission=number)
    paper = api.post(f"commissions/{number}/invoice/").data["paper"]["number"]
    assert ReminderDue.objects.filter(subject=f"invoice:{paper}").exists()
    with CaptureQueriesContext(connection) as queries:
        record_rendering(call_now(owner.id), paper=paper, sha256="0" * 64, size_bytes=1)
    tables = ("reminderdue", "reminderreply", "reminderwish", "waitestimate", "jobs_person", "jobs_wait")
    assert not [q["sql"] for q in queries if any(table in q["sql"] for table in tables)]
