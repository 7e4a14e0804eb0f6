"""Check the chain of the log, the texts beside it and, where asked, the files."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.core.blobs import all_files
from jobs.core.errors import LogBroken
from jobs.log.integrity import damaged_files, verify_all


class Command(BaseCommand):
    help = "Verify every event's hash, the chain and the texts; names the first that differs and fails."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--files", action="store_true", help="also every paper and picture")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            verified = verify_all()
        except LogBroken as broken:
            raise CommandError(broken.detail) from broken
        head = verified.head_hash[:16]
        self.stdout.write(f"{verified.count} events and {verified.texts} texts, the chain holds, head {head}")
        if options["files"]:
            self.verify_files()

    def verify_files(self) -> None:
        damaged = damaged_files()
        for what in damaged.values():
            self.stderr.write(what)
        if damaged:
            raise CommandError(f"{len(damaged)} files are missing or altered")
        self.stdout.write(f"{len(all_files())} files are as they were stored")
