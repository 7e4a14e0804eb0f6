"""Project events into updates to clients and their questions."""

from jobs.core.refs import ref
from jobs.models import ClientQuestion, ClientUpdate, Commission, Event
from jobs.models.bases import row_key


def told(event: Event) -> None:
    data = event.data
    update = ClientUpdate.objects.create(
        id=row_key(event.seq),
        commission=Commission.objects.get(number=data["commission"]),
        words_ref=ref(data["words"]),
        pictures=data["pictures"],
        by_mail=data["by_mail"],
        told_at=event.occurred_at,
        told_by=event.actor,
    )
    ClientQuestion.objects.filter(id__in=data["answers"]).update(
        settled_at=event.occurred_at, settled_by=event.actor, answer=update
    )


def asked(event: Event) -> None:
    ClientQuestion.objects.create(
        id=row_key(event.seq),
        commission=Commission.objects.get(number=event.data["commission"]),
        words_ref=ref(event.data["words"]),
        asked_at=event.occurred_at,
    )


def settled(event: Event) -> None:
    ClientQuestion.objects.filter(id=event.data["question"]).update(
        settled_at=event.occurred_at, settled_by=event.actor, how_ref=ref(event.data["how"])
    )
