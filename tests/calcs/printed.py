"""Reads the printed figures the checks compare with: tables/, source and provenance in each row."""

import csv
from pathlib import Path


def rows(name):
    with (Path(__file__).parent / "tables" / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))
