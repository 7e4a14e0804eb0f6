"""The hands of a week: a column for each day, a row for each person, blocks as high as they last."""

from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _

from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.blocks import Block, day_of
from jobs.domain.overviews.plan.days import PlanDays
from jobs.web.kit.formatting import clock_words
from jobs.web.kit.stored_translations import capital
from jobs.web.plan_why import why_words
from jobs.web.planning.plan_words import (
    about_words,
    first_name,
    headline,
    moved_by,
    night_words,
    quarter_hours,
    wait_title,
    who_words,
)

LEAST_CAP_H = 8


def hands(view: PlanDays) -> dict[str, Any]:
    """Return the table of a week: its days, and the cells of each person."""
    return {"days": [_head(view, day) for day in view.days], "rows": [_row(view, one) for one in view.people]}


def _head(view: PlanDays, day: date) -> dict[str, Any]:
    planned = [(one, _minutes(view, day, one.id)) for one in view.people]
    said = [f"{first_name(one)} {quarter_hours(minutes)}" for one, minutes in planned if minutes]
    is_open = any(view.open_min.get((one.id, day)) for one in view.people)
    return {
        "day": day,
        "name": date_format(day, "D"),
        "date": date_format(day, "j M") if day == view.first or day.day == 1 else str(day.day),
        "is_today": day == view.today,
        "is_over": day < view.today,
        "is_off": not is_open and not said,
        "says": _("%(hours)s h") % {"hours": ", ".join(said)} if said else "" if is_open else _("shut"),
        "promised": [
            {"number": short_number(one.commission), "url": reverse("web:commission", args=[one.commission])}
            for one in (view.plan.finishes if view.plan else ())
            if one.promised == day
        ],
    }


def _minutes(view: PlanDays, day: date, person: str) -> int:
    """Return how long somebody works that day by the plan, what is done with it."""
    return sum(one.minutes for one in view.of_day(day, person) if not one.maybe)


def _row(view: PlanDays, one: Any) -> dict[str, Any]:
    cells = []
    cap = max([LEAST_CAP_H * 60, *(_minutes(view, day, one.id) for day in view.days)])
    for day in view.days:
        blocks = [block_row(view, block) for block in view.of_day(day, one.id)]
        is_open = bool(view.open_min.get((one.id, day)))
        cells.append({"blocks": blocks, "is_open": is_open or bool(blocks), "cap": _hours(cap)})
    return {"name": first_name(one), "under": _("owner") if one.is_owner else "", "cells": cells}


def block_row(view: PlanDays, block: Block) -> dict[str, Any]:
    """Return a block with its words, its height in hours and its address."""
    names = {one.id: first_name(one) for one in view.people}
    return {
        "at": "" if block.all_day else clock_words(block.begins),
        "number": short_number(block.piece or block.commission) if block.piece or block.commission else "",
        "short": capital(block.title) if block.state != "date" else headline(block),
        "says": headline(block),
        "about": about_words(block),
        "who": who_words(block.people, names),
        "why": why_words(*block.why),
        "h": _hours(block.minutes),
        "takes": quarter_hours(block.minutes),
        "look": block.look,
        "state": block.state,
        "maybe": block.maybe,
        "pinned": block.pinned,
        "moved": moved_by(block.moved) if block.moved else "",
        "url": block_url(block),
    }


def block_url(block: Block) -> str:
    """Return the page of a block: its date, its done stage, else why it stands where it stands."""
    if block.appointment is not None:
        return reverse("web:date", args=[block.appointment])
    if block.state in ("done", "going"):
        return reverse("web:stage", args=[block.piece, block.stage])
    return reverse("web:planned", args=[block.piece, block.stage])


def day_list(view: PlanDays) -> list[dict[str, Any]]:
    """Return the days for a phone: the rows of each, its hours, its night."""
    return [
        {
            **head,
            "month": date_format(head["day"], "j M"),
            "full": date_format(head["day"], "l"),
            "rows": [block_row(view, block) for block in view.of_day(head["day"])],
            "night": night_words(view, head["day"]),
        }
        for head in map(lambda day: _head(view, day), view.days)
    ]


def ends_today(view: PlanDays) -> list[dict[str, Any]]:
    """Return the waits that are over today, and the windows that close, in the order of time."""
    rows = []
    for one in view.waits:
        for moment, closes in ((one.ends, False), (one.closes, True)):
            if moment and not one.maybe and day_of(moment) == view.today and moment >= view.now:
                says = _("%(what)s: window closes") if closes else _("%(what)s: over")
                rows.append(
                    {
                        "moment": moment,
                        "at": clock_words(moment),
                        "says": says % {"what": wait_title(one)},
                        "about": f"{short_number(one.piece)} {view.names.label(one.piece)}",
                    }
                )
    return sorted(rows, key=lambda row: row["moment"])


def _hours(minutes: int) -> str:
    """Return hours as a number of a style."""
    return f"{minutes / 60:.2f}".rstrip("0").rstrip(".")
