"""Django's own command, which also reads the titles that calculations and their figures have in `calcs`."""

from django.core.management.commands import makemessages

TITLED = ("Calculation", "Figure")
"""Classes whose first argument is a title that pages translate."""


class Command(makemessages.Command):
    xgettext_options = [*makemessages.Command.xgettext_options, *(f"--keyword={name}:1" for name in TITLED)]
