"""``python -m tests.process.forgetting tell`` or ``forget``: a client of the shop in this data folder."""

import logging
import sys
from datetime import timedelta
from pathlib import Path

import django


def tell() -> None:
    """Write everything that can be written of a client: mails, papers, thumbnails, an export, log lines."""
    from django.core.mail import send_mail
    from django.db import DataError

    from jobs.domain.notes.images import thumbnail
    from jobs.domain.workshop.commands import set_shop
    from jobs.log.private_texts import read
    from jobs.log.transfer import default_folder, export_to
    from jobs.models import Person, Picture
    from tests.forgettable import ODD, a_forgettable_client
    from tests.shop_fixtures import Work, quick_sheets

    work = Work(Person.objects.get(username="owner"))
    quick_sheets(work.call())
    set_shop(work.call(), settings={"keep_papers_years": 0})
    a_forgettable_client(work, meanwhile=lambda work: carry_on(work.now + timedelta(days=1)))
    carry_on(work.now + timedelta(days=1))
    for picture in Picture.objects.all():
        thumbnail(read(picture.picture_ref))
    send_mail("Not of them", "This one stays", None, ["orla@fenwick.example"])
    export_to(default_folder(work.now))
    for failure in (DataError(f'DETAIL: ("{ODD}")'), KeyError(ODD)):
        try:
            raise failure
        except Exception:
            logging.getLogger("jobs.worker.outbox").exception("it failed")


def forget() -> None:
    from django.conf import settings
    from django.utils import timezone

    from jobs.domain.clients.erasure import elsewhere, events_of
    from jobs.domain.clients.erasure_commands import forget_client
    from jobs.log import transfer
    from jobs.log.commands import call_now, verify_log
    from jobs.log.rebuild import compare
    from jobs.models import Client, OutboxMessage, Person
    from tests.forgettable import ODD

    client, owner = Client.objects.get(), Person.objects.get(username="owner")
    also = [one.seq for one in elsewhere(client, list(events_of(client)))]
    forget_client(call_now(owner.id), client=client.id, confirm=f"Ottilie Anna {ODD}", also=also)
    carry_on(timezone.now() + timedelta(seconds=1))
    assert not OutboxMessage.objects.filter(done_at=None).exists(), list(
        OutboxMessage.objects.filter(done_at=None).values()
    )
    assert verify_log() and compare() == []
    (export,) = (Path(settings.DATA_DIR) / "exports").iterdir()
    assert transfer._check_folder(export), "it can still be imported"


def carry_on(now: object) -> None:
    """Do what the worker does, until nothing is left."""
    from jobs.domain.reminders import delivery
    from jobs.domain.reminders.feeds import calendar
    from jobs.worker import outbox

    while outbox.dispatch_outbox(now) or delivery.deliver_due(now):
        pass
    calendar.refresh(now)


if __name__ == "__main__":
    django.setup()
    {"tell": tell, "forget": forget}[sys.argv[1]]()
