"""The demo by taps: loaded into an empty shop, marked on every page, left again."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from jobs.domain.workshop.demo import begin_demo, is_demo, leave_demo
from jobs.log import triggers
from jobs.log.commands import CommandContext
from jobs.models import ClientLink, Event, Person, PrivateText
from tests.shop_fixtures import NOON, Work, a_client
from tests.web.pages import Pages


def begun(owner: Person) -> None:
    begin_demo(CommandContext(by=owner.id, at=NOON, now=NOON))


def test_an_empty_shop_offers_the_demo_and_a_shop_at_work_does_not(pages: Pages, work: Work):
    a_client(work.call())
    assert "Look around the demo" not in pages.get("/first-run/done/").words
    answer = pages.http.post("/demo/open/")
    assert answer.status_code == 409 and not is_demo()


def test_a_new_shop_leads_to_it(owner: Person, db: None):
    assert "Look around the demo" in Pages(owner).get("/first-run/done/").words


@pytest.mark.django_db(transaction=True)
def test_leaving_empties_the_shop_but_for_its_owner(owner: Person, maker: Person, settings, tmp_path):
    settings.FILES_DIR = tmp_path
    (tmp_path / "kept").write_bytes(b"a picture")
    begun(owner)
    a_client(CommandContext(by=owner.id, at=NOON, now=NOON))
    leave_demo()
    assert not Event.objects.exists() and not PrivateText.objects.exists() and not ClientLink.objects.exists()
    assert list(Person.objects.all()) == [owner] and not list(tmp_path.iterdir())
    assert triggers.missing("default") == set()
    a_client(CommandContext(by=owner.id, at=NOON, now=NOON))
    with pytest.raises(Exception, match="append|change"), connection.cursor() as cursor:
        cursor.execute("DELETE FROM jobs_event")


def test_a_shop_at_work_cannot_be_emptied(pages: Pages, work: Work):
    a_client(work.call())
    with pytest.raises(CommandError, match="no demo"):
        call_command("leave_demo")
    assert Event.objects.exists()
    pages.get("/demo/leave/", status=409)
    assert pages.http.post("/demo/leave/").status_code == 409 and Event.objects.exists()


def test_only_the_owner_opens_and_leaves_the_demo(maker: Person, db: None):
    for path in ("/demo/loading/", "/demo/leave/", "/demo/leaving/"):
        Pages(maker).get(path, status=403)
