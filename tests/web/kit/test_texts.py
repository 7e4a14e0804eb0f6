"""Rules that every text of a screen, a mail or a paper keeps."""

import re
from collections.abc import Callable
from functools import cache

import pytest
from django.conf import settings

from jobs.management.messages import Message, messages

BRITISH = re.compile(
    r"\b(colours?|grey|centres?|metres?|litres?|millimetres?|aluminium|labour|vapours?|mould\w*"
    r"|(?:label|bevel|level|cancel|travel)l(?:ed|ing)|catalogue|cheque|programme|neighbour\w*|favour\w*"
    r"|behaviour|(?:sensit|organ|recogn|real|minim)is(?:e|ed|es|ing)|analyse[ds]?|enquir(?:y|ies)|postcode"
    r"|whilst|learnt|leant|licence|tyre|storey)\b",
    re.IGNORECASE,
)
PLACEHOLDER = re.compile(r"%\(\w+\)s")
COUNTED = re.compile(
    r"%\((?:count|days|stages|pieces|texts|lines|jobs|tries|seq|events|fewest)\)s "
    r"(?:days|stages|pieces|texts|lines|jobs|times|tries|events|boards|pictures|strips|turns|figures|people)\b"
)
ALWAYS_MANY = {
    "Good for %(days)s days.",  # as it is being typed
    "%(done)s of %(stages)s stages done",  # one of one reads as well
    "%(days)s days", "%(days)s days ago", "in %(days)s days",  # a day is named: tomorrow, yesterday
    "%(count)s strips of %(narrow)s to %(wide)s",  # strips of two widths are two
    "%(hours)s h, the medians of %(jobs)s jobs for %(kinds)s of %(all)s kinds of stage, "
    "%(least)s to %(most)s h",
    "Our own: %(median)s, median of %(jobs)s jobs, %(least)s to %(most)s",  # from the least count on
}  # fmt: skip


@cache
def every_text() -> list[Message]:
    return messages(settings.BASE_DIR)


def broken(says: str) -> list[str]:
    return [name for name, rule in RULES.items() if rule(says)]


def _sentences(says: str) -> bool:
    """Return whether a text that ends with a full stop begins small."""
    return says.endswith(".") and says[:1].islower() and says not in SMALL


SMALL = {
    "nobody can say that it has set as it should.",
    "goes on.", "paused. What was worked so far is kept.", "skipped on this piece.", "done.", "finished.",
    "to be done again, with what followed. What went before stays on record.", "its time is kept.",
    "put back.", "reopened.", "started.",
    "put this link into the calendar now, it is not shown again.",
    "write it down now, it is not shown again.",
}  # fmt: skip
"""They follow a name: *Glue-up: finished.*"""
BRACKETED = "Solid wood breathes.", "Hearing protection: 85 dB(A)"
"""A care sheet has both units; the other is the name of a unit."""
OR_BY_SLASH = re.compile(r"\b[a-z]{3,}/[a-z]{3,}\b")
RULES: dict[str, Callable[[str], object]] = {
    "an exclamation mark": lambda says: "!" in says,
    "a British spelling": lambda says: BRITISH.search(PLACEHOLDER.sub("", says)),
    "a word of machines": lambda says: re.search(
        r"\binvalid\b|error occurred|\brequired\b|celery", says, re.I
    ),
    "brackets": lambda says: "(" in PLACEHOLDER.sub("", says) and not says.startswith(BRACKETED),
    "two spaces": lambda says: "  " in says.strip() and "\n" not in says,
    "or by a slash": lambda says: OR_BY_SLASH.search(says) and "<" not in says,
    "a small letter before a full stop": _sentences,
}


def test_every_text_keeps_the_rules():
    found = {
        one.file + ": " + says: wrong
        for one in every_text()
        for says in (one.one, one.many)
        if (wrong := broken(says))
    }
    assert found == {}


def test_what_is_counted_has_a_singular():
    alone = {one.one for one in every_text() if not one.many and COUNTED.search(" ".join(one.one.split()))}
    assert alone - ALWAYS_MANY == set()


def test_a_plural_counts():
    """A text with a plural differs from it."""
    assert [one for one in every_text() if one.many and one.one == one.many] == []


@pytest.mark.parametrize(
    "says, wrong",
    [
        ("Saved!", ["an exclamation mark"]), ("The grey board", ["a British spelling"]),
        ("Invalid value", ["a word of machines"]), ("two  spaces", ["two spaces"]),
        ("Width (mm)", ["brackets"]),
        ("piece/board", ["or by a slash"]), ("saved it.", ["a small letter before a full stop"]),
        ("Scrape the squeeze-out, panel D–F.", []), ("%(colour)s boards", []),
    ],
)  # fmt: skip
def test_a_text_that_breaks_a_rule_is_found(says: str, wrong: list[str]):
    assert broken(says) == wrong
