"""Put a shop with many waits that all become ready at one moment into the database of the environment.

``python -m tests.process.many_due COUNT PEOPLE SECONDS_FROM_NOW``. The commission, its piece and one wait
come through the log as always. The other waits are copies of that one, written directly to the tables:
driving thousands of pieces through their routes would take an hour and test no more of the sending. The n-th
wait reminds the person n modulo PEOPLE, each a microsecond after the one before.
"""

import sys
from datetime import datetime, timedelta
from typing import Any

import django

FIRST = 10**12
"""Keys larger than any that the log gives."""
MICROSECOND = timedelta(microseconds=1)


def main(count: int, people: int, ahead_s: float) -> None:
    django.setup()
    from django.utils import timezone

    from jobs.models import Channel, Person, ReminderDue, Wait, WaitEstimate

    now = timezone.now()
    wait = one_wait(now)
    due = now + timedelta(seconds=ahead_s)
    ReminderDue.objects.all().delete()
    told = [
        Person.objects.create_user(f"person{n}", "x", email=f"person{n}@shop.example") for n in range(people)
    ]
    waits, estimates, dues = [], [], []
    for n in range(count):
        copy = Wait(
            id=FIRST + n, stage=wait.stage, kind=wait.kind, title=f"Joint {n:05d}", holds=[],
            since=now, ready_s=1, basis=wait.basis,
        )  # fmt: skip
        at = due + n * MICROSECOND
        waits.append(copy)
        estimates.append(WaitEstimate(wait=copy, ready_at=at, earliest_at=at, likely_at=at, latest_at=at))
        dues.append(
            ReminderDue(
                wait=copy,
                kind="ready",
                person=told[n % people].id,
                channel=Channel.MAIL,
                attempt=1,
                due_at=at,
            )  # fmt: skip
        )
    Wait.objects.bulk_create(waits)
    WaitEstimate.objects.bulk_create(estimates)
    ReminderDue.objects.bulk_create(dues)
    print(due.isoformat())


def one_wait(now: datetime) -> Any:
    from jobs.domain.commissions.piece_commands import add_piece
    from jobs.models import Person, Piece, Wait
    from tests.shop_fixtures import INCHES, Work, a_client, a_commission, accept_bare

    work = Work(Person.objects.get(username="owner"), now)
    commission = a_commission(work.call(), a_client(work.call()))
    accept_bare(work.call(), commission=commission.number)
    add_piece(
        work.call(), commission=commission.number, units=INCHES, asked={"route": "seconds", "label": "Box"}
    )
    piece = Piece.objects.get()
    work.start(piece, "glue-up")
    work.finish(piece, "glue-up", minutes=1)
    return Wait.objects.select_related("stage").get()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3]))
