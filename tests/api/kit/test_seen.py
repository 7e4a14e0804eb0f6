"""A stale change is refused over the API, with the version that a caller should have read."""

from jobs.models import ReminderDue
from tests.api.client import Api, head, refused
from tests.api.driving import Order
from tests.shop_fixtures import QUICK_GLUE
from tests.stories import OWN_TEMPLATE


def stale(api: Api, address: str, body: dict, seen: int) -> None:
    """Check that a change is refused as stale and writes nothing."""
    before = head()
    answer = api.post(address, {**body, "seen_version": seen})
    assert refused(answer, 409, "stale", "seen_version")["value"] == seen
    assert head() == before


def test_a_sheet_and_a_template(api, quick):
    sheet = {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE}
    stale(api, "sheets/", sheet, 0)
    seen = api.get("sheets/glue/quick-glue/").data["version"]
    assert api.post("sheets/", {**sheet, "seen_version": seen}).data["sheet"]["version"] == seen + 1
    made = api.post("templates/", {"text": OWN_TEMPLATE, "seen_version": 0}).data["template"]
    stale(api, "templates/", {"text": OWN_TEMPLATE}, made["version"] - 1)


def test_a_commission_of_a_client_who_changed(api, client_id):
    seen = api.get(f"clients/{client_id}/").data["version"]
    now = api.patch(f"clients/{client_id}/", {"phone": "555 0199"}).data["client"]["version"]
    asked = {"client": client_id, "title": "Shelf"}
    stale(api, "commissions/", asked, seen)
    assert api.post("commissions/", {**asked, "seen_version": now}).status_code == 201


def test_papers_of_a_commission_that_changed(api, accepted, number):
    Order(api, accepted).do("survey", "stock")
    seen = api.get(f"commissions/{number}/").data["version"]
    api.patch(f"commissions/{number}/", {"notes": "ring the lower bell"})
    stale(api, f"commissions/{number}/checklist/", {}, seen)
    paper = api.post(f"commissions/{number}/checklist/").data["paper"]
    api.patch(f"commissions/{number}/", {"notes": "or the upper one"})
    withdraw = f"papers/{paper['number']}/withdraw/"
    stale(api, withdraw, {"reason": "wrong van"}, paper["version"])
    now = api.get(f"papers/{paper['number']}/").data["version"]
    assert api.post(withdraw, {"reason": "wrong van", "seen_version": now}).status_code == 200


def test_a_reminder_of_a_piece_that_changed(api, accepted):
    Order(api, accepted).do_until("glue-up")
    ReminderDue.objects.update(due_at="2026-01-01T00:00Z")
    told = next(each for each in api.get("reminders/").data if each["piece"])
    assert told["version"] == api.get(f"pieces/{told['piece']}/").data["version"]
    api.patch(f"pieces/{told['piece']}/", {"label": "Loft table top"})
    about = {"wait": told["wait"], "kind": told["kind"]}
    stale(api, "reminders/snooze/", {**about, "until": "2031-01-01T00:00Z"}, told["version"])
    stale(api, "reminders/acknowledge/", about, told["version"])
    now = api.get(f"pieces/{told['piece']}/").data["version"]
    assert api.post("reminders/acknowledge/", {**about, "seen_version": now}).status_code == 200
