"""Who lifts a top: the same line on the screen, in the API, from the command, on job sheet and checklist.

One person by NIOSH 94-110 (rev. 9/2021): 51 lb x 10/12 x (1 - 0.0075 x 6) x (0.82 + 1.8/12) x 1 x 0.90 is
35.4 lb for a top on edge, hands 12 in out and 24 in up, lifted 12 in, poor grip. A team by UK HSE L23 (read
as quoted): two people two thirds of the sum, 47.2 lb; three one half, 53.1 lb. It gives no share for four.
"""

import re
from decimal import Decimal

import pytest
from django.test import Client as Browser

from calcs.asking.field_types import Habit
from calcs.catalogue import run
from calcs.handling.lift_top import TopLift, lift_top
from jobs.documents.render import render
from tests.documents.reading import words
from tests.documents.shop import a_shop, issued_checklist
from tests.needs import needs
from tests.shop_fixtures import issue_job_sheet, the_paper

pytestmark = [needs("weasyprint"), pytest.mark.django_db, pytest.mark.takes(16)]
# black walnut 30 x 1 1/2 in by the handbook's density is about a pound an inch of length
TOPS = [
    ("33", "one person, on edge", ""),
    ("45", "two people, on edge", "up to 47 lb"),
    ("51", "three people, on edge", "up to 53 lb"),
    ("60", "cart or hoist", "three people may lift 53 lb"),
]


@pytest.mark.parametrize(("length", "line", "most"), TOPS)
def test_every_door_says_the_same_line(length, line, most):
    work = a_shop(people_at_hand="2")
    piece = work.accepted(length=length)
    number = piece.commission.number
    kept = piece.computed["lifting"]["result"]
    assert kept["carry"] == line

    http = Browser()
    http.force_login(work.by)
    told = http.get(f"/api/v1/pieces/{piece.number}/").json()["computed"]["lifting"]["result"]
    assert told["carry"] == line
    page = re.sub(
        r"\s+", " ", re.sub(r"<[^>]+>", " ", http.get(f"/commissions/{number}/piece/").content.decode())
    )
    assert f"Lifting {line}" in page

    asked = run("lifting", {"weight": f"{kept['weight_lb']} lb"}, Habit())
    assert asked.result["carry"]["value"] == line

    sheet = words(render(the_paper(issue_job_sheet(work.call(), commission=number))))
    assert f"Lifted by {line.capitalize()}" in sheet.replace("\u00a0", " ")
    work.do_until(piece, "wrap")
    checklist = words(render(issued_checklist(work, number))).replace("\u00a0", " ")
    assert line.capitalize() in checklist and most in checklist


def test_a_top_of_53_pounds_is_three_people_and_two_are_told_to_call_one_more():
    found = lift_top(TopLift(weight_kg=Decimal("24.04"), people=2))  # 53.0 lb
    assert (found.people, found.carry) == (3, "three people, on edge")
    assert found.warnings == ("three people are needed and two are there: call more, or use a cart or hoist",)


def test_what_is_heavier_names_what_two_and_three_may_lift():
    piece = a_shop(people_at_hand="2").accepted(length="60")
    (warning,) = piece.computed["lifting"]["result"]["warnings"]
    assert "two people may lift 47.2 lb (21.4 kg) on edge, three 53.1 lb (24.1 kg)" in warning
    assert warning.endswith("use a cart or hoist") and "however many" not in warning
    assert "the rule in print gives four no share" in " ".join(piece.computed["lifting"]["notes"])
