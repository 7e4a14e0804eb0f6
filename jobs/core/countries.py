"""Countries by their two letters (ISO 3166-1), from the table that comes with the time zones."""

from importlib.resources import files

_TABLE = (files("tzdata.zoneinfo") / "iso3166.tab").read_text(encoding="utf-8")
COUNTRIES = dict(line.split("\t") for line in _TABLE.splitlines() if line and not line.startswith("#"))
