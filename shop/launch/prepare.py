"""Set up between the broker and the rest: tables, owner, demo. One process, so that Django loads once.

It prints one line on what stops it; the exit code ``SAID`` means that nothing needs to be added.
"""

import argparse
import sys
from pathlib import Path

import django
import redis
from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, OperationalError, connection

from shop.env import BadSetting

SAID = 2  # service.ALREADY_SAID
EMPTY = "--empty"
KEPT = {"files": "*", "mail": "*.log", "exports": "*"}
"""Where a shop that has been in use leaves something beside its database."""
RESCUE = (
    "Put a backup of the database in its place; without one, save what can be read with "
    "`python3 manage.py export FOLDER`, move the database away, start with --empty and import FOLDER"
)


class NotStarted(Exception):
    """The service cannot start; the text says why and what to do."""


def main(arguments: list[str]) -> int:
    asked = argparse.ArgumentParser()
    asked.add_argument("--demo", action="store_true")
    asked.add_argument(EMPTY, action="store_true")
    given = asked.parse_args(arguments)
    try:
        django.setup()
        prepare(demo=given.demo, empty=given.empty)
    except (BadSetting, NotStarted) as problem:
        print(problem, file=sys.stderr)
        return SAID
    except DatabaseError as problem:
        if not (known := said_of(problem)):
            raise
        print(f"Not started: {known}", file=sys.stderr)
        return SAID
    return 0


def said_of(problem: DatabaseError) -> str:
    """Return what a damaged file or a full disk means to whoever starts the service, or an empty string."""
    from jobs.core import disk_space
    from jobs.log import database_damage

    if database_damage.is_damage(problem):
        return f"{the_database()} is damaged ({str(problem).strip().splitlines()[0]}). {RESCUE}"
    if disk_space.is_full(problem):
        return f"the disk of {the_database()} is full. Free some space, then start again"
    return ""


def prepare(*, demo: bool, empty: bool) -> None:
    if not broker_answers():
        raise BadSetting("SHOP_REDIS_URL", "no Redis server answers there")
    if not empty:
        refuse_lost_file()
    check_database()
    if not empty and "jobs_event" not in connection.introspection.table_names():
        refuse_lost_database()
    call_command("migrate", interactive=False, verbosity=0)
    call_command("ensure_owner")
    if demo:
        call_command("load_demo")


def broker_answers() -> bool:
    """Return whether the broker is ready for work, embedded or named by the variable."""
    from jobs.core import broker  # needs Django set up

    try:
        with broker.connection() as asked:
            return bool(asked.ping())
    except redis.RedisError:
        return False


def check_database() -> None:
    """Connect, or say that the variable that names the database is wrong; refuse a damaged database."""
    from jobs.log import database_damage

    try:
        connection.ensure_connection()
    except OperationalError as problem:
        if database_damage.is_damage(problem):
            raise
        raise BadSetting("SHOP_DATABASE_URL", f"cannot connect: {str(problem).strip()}") from None
    if found := database_damage.check():
        raise NotStarted(f"Not started: {the_database()} is damaged ({found}). {RESCUE}")


def refuse_lost_file() -> None:
    """Refuse a lost database file before connecting, which would create it."""
    if connection.vendor == "sqlite" and not Path(str(settings.DATABASES["default"]["NAME"])).is_file():
        refuse_lost_database()


def refuse_lost_database() -> None:
    """Refuse an empty database where papers, mails or exports show that there was a shop."""
    data = Path(settings.DATA_DIR)
    left = {name: len([*(data / name).glob(pattern)]) for name, pattern in KEPT.items()}
    if not any(left.values()):
        return
    there = ", ".join(f"{count} in {name}/" for name, count in left.items() if count)
    raise NotStarted(
        f"Not started: {the_database()} is missing or empty, but {data} holds what a shop left ({there}). "
        "Put the database back from a backup. To begin an empty shop all the same, and perhaps import an "
        f"export into it, start with {EMPTY}"
    )


def the_database() -> str:
    return f"the database {settings.DATABASES['default']['NAME']}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
