#!/usr/bin/env python3
"""Django's own command line."""

import os
import sys

from shop.env import BadSetting


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except BadSetting as problem:
        print(problem, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
