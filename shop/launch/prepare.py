"""Between the broker and the rest: tables, owner, demo. One process, so that Django loads once."""

import argparse
import sys

import django
from django.conf import settings
from django.core.management import call_command
from django.db import OperationalError, connection

from shop.env import BadSetting
from shop.launch import broker


def main(arguments: list[str]) -> int:
    asked = argparse.ArgumentParser()
    asked.add_argument("--demo", action="store_true")
    try:
        django.setup()
        check_servers()
    except BadSetting as problem:
        print(problem, file=sys.stderr)
        return 2
    call_command("migrate", interactive=False, verbosity=0)
    call_command("ensure_owner")
    if asked.parse_args(arguments).demo:
        call_command("load_demo")
    return 0


def check_servers() -> None:
    """The two servers answer, or the variable that names them is wrong."""
    if not broker.answers(settings.REDIS_URL):
        raise BadSetting("SHOP_REDIS_URL", "no Redis server answers there")
    try:
        connection.ensure_connection()
    except OperationalError as problem:
        raise BadSetting("SHOP_DATABASE_URL", f"cannot connect: {str(problem).strip()}") from None


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
