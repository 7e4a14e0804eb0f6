#!/usr/bin/env python3
"""Every verb needs nothing but Python: it makes ``.venv`` where it is missing. Most verbs are Django's."""

from __future__ import annotations

import os
import sys


def main(arguments: list[str]) -> int:
    if sys.version_info < (3, 11):  # noqa: UP036 (the clear line is for those who have an older one)
        sys.exit(f"Python 3.11 or newer is needed; this is {sys.version_info[0]}.{sys.version_info[1]}")
    if os.name == "nt":
        sys.exit("This runs on Linux and macOS; on Windows run it inside the Linux subsystem")
    from shop.env import BadSetting
    from shop.launch import bench, start, test, venv

    verbs = {"start": start.main, "test": test.main, "bench": bench.main}
    try:
        if arguments and arguments[0] in verbs:
            return verbs[arguments[0]](arguments[1:])
        venv.enter_unless_django(arguments)
        return django_verb()
    except (BadSetting, venv.CannotInstall) as problem:
        print(problem, file=sys.stderr)
        return 2


def django_verb() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
