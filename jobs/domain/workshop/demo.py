"""A demo shop: its log says so in its first event, and it alone may be emptied."""

from django.apps import apps
from django.conf import settings
from django.db import connection, transaction

from jobs.core.errors import WrongState
from jobs.log import triggers
from jobs.log.commands import CommandTransaction, command
from jobs.models import Event, LogHead, Person
from jobs.models.people import Role

BEGUN = "demo_begun"
DROP = {
    "sqlite": "DROP TRIGGER {name}",
    "postgresql": "DROP TRIGGER {name} ON {table}",
}


@command
def begin_demo(tx: CommandTransaction) -> None:
    """Mark an empty log as that of a demo shop."""
    if Event.objects.exists():
        raise WrongState("this shop is at work", field="demo", value="", allowed="an empty log")
    tx.append(BEGUN, "shop", {})


def is_demo() -> bool:
    """Return whether this is a demo shop."""
    return Event.objects.filter(seq=1, kind=BEGUN).exists()


def leave_demo() -> None:
    """Empty a demo shop: every table but the owners, and every file. Refuse any other shop."""
    with transaction.atomic():
        LogHead.objects.select_for_update().first()
        if not is_demo():
            raise WrongState("this is no demo shop", field="demo", value="", allowed="a demo shop")
        _drop_triggers()
        with connection.cursor() as cursor:
            for model in apps.get_app_config("jobs").get_models():
                if model not in (Person, LogHead):
                    cursor.execute(f'DELETE FROM "{model._meta.db_table}"')
        LogHead.objects.all().delete()
        Person.objects.exclude(role=Role.OWNER).delete()
        triggers.create("default")
    for path in settings.FILES_DIR.rglob("*"):
        if path.is_file():
            path.unlink(missing_ok=True)


def _drop_triggers() -> None:
    with connection.cursor() as cursor:
        for name in triggers.NAMES[connection.vendor]:
            cursor.execute(DROP[connection.vendor].format(name=name, table=triggers.TABLE))
