"""Commands on commissions: open, change, and move to another step."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.core.errors import Invalid, NotYet
from jobs.domain import lookups
from jobs.domain.checks import has_words, not_before, one_of, refuse_if_forgotten
from jobs.domain.lifecycle import BY_HAND, MOVES, move, refuse_if_invoiced
from jobs.domain.settings import settings
from jobs.domain.waits.waits import start_passive_stages
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import FORGOTTEN, Texts, store_private_text
from jobs.models import Commission

Step = Commission.Step
ENQUIRY = ("asks_for", "budget", "wanted_on", "heard")
"""What an enquiry says: their words, budget, the day they want it, how they heard of the shop."""
CHANGEABLE = {"title", "notes", "promise_on", "tell_days", *ENQUIRY}
LONGEST_TITLE, LONGEST_WISH, LONGEST_HEARD, LONGEST_SILENCE_D = 200, 4000, 200, 365
MOST_MONEY = 10_000_000
SHORT_TITLE, SHORTEST_CLAUSE = 60, 8
"""Letters of a title that is taken from their words: the most, and the least of a first clause."""
CLAUSE = re.compile(r"[,.;:!?](?=\s)|\n")
LOOKED_BACK = 200
"""Number of newest commissions that suggest how somebody heard of the shop."""


@command
def open_commission(
    tx: CommandTransaction,
    *,
    client: int,
    title: str = "",
    asks_for: str = "",
    budget: Decimal | None = None,
    wanted_on: date | None = None,
    heard: str = "",
    notes: str = "",
    promise_on: date | None = None,
) -> None:
    """Open a commission for a client's enquiry, with the next number.

    Without a title it is called by the first words of what they ask for. ``wanted_on`` is when they want it;
    ``promise_on`` is what was promised.
    """
    found = lookups.client(client)
    tx.check_version(found.version, what="this client")
    refuse_if_forgotten(found)
    title = title if title.strip() else title_from(asks_for)
    _check_title(title)
    number = _next_number(tx)
    tx.append(
        "commission_opened",
        f"commission:{number}",
        {
            "number": number,
            "client": found.id,
            "title": store_private_text(title, field="title", longest=LONGEST_TITLE, one_line=True),
            "notes": store_private_text(notes, field="notes"),
            "promise_on": promise_on,
            **_enquiry({"asks_for": asks_for, "budget": budget, "wanted_on": wanted_on, "heard": heard}),
        },
    )


def title_from(words: str) -> str:
    """Return a title of what they ask for: its first clause, cut at a word where that is long."""
    words = words.strip()
    ends = (found.start() for found in CLAUSE.finditer(words) if found.start() >= SHORTEST_CLAUSE)
    clause = " ".join(words[: next(ends, len(words))].split())
    if len(clause) > SHORT_TITLE:
        clause = clause[: SHORT_TITLE + 1].rpartition(" ")[0] or clause[:SHORT_TITLE]
    return clause[:1].upper() + clause[1:].rstrip(" .,;:")


def _enquiry(given: dict[str, Any]) -> dict[str, Any]:
    """Return what an enquiry says as events hold it: the texts stored, the budget with its currency."""
    data = dict(given)
    if "asks_for" in data:
        data["asks_for"] = store_private_text(data["asks_for"], field="asks_for", longest=LONGEST_WISH)
    if "heard" in data:
        data["heard"] = store_private_text(data["heard"], field="heard", longest=LONGEST_HEARD, one_line=True)
    if "budget" in data:
        check_amount(data["budget"], "not a budget", field="budget")
        data["budget_currency"] = "" if data["budget"] is None else settings()["currency"]
    return data


def check_amount(amount: Decimal | None, says: str, *, field: str) -> None:
    """Refuse an amount of money out of range or with more than two decimals. Called by other commands."""
    if amount is None:
        return
    if not (amount.is_finite() and 0 <= amount <= MOST_MONEY and amount == round(amount, 2)):
        raise Invalid(says, field=field, value=amount, allowed=f"0 to {MOST_MONEY}, two decimals")


def heard_before() -> list[str]:
    """Return how clients heard of the shop, as typed before: each once, the newest first."""
    newest = Commission.objects.exclude(heard_ref=None).order_by("-id")
    refs = list(newest.values_list("heard_ref", flat=True)[:LOOKED_BACK])
    texts = Texts(refs)
    return [said for said in dict.fromkeys(texts[ref] for ref in refs) if said != FORGOTTEN]


@command
def change_commission(tx: CommandTransaction, /, *, commission: str, **changes: Any) -> None:
    """Change title, notes, enquiry, promised day or days between updates; fields not given stay.

    ``tell_days`` is the number of days without news before a client is named. 0 means never, None the shop's
    usual number.
    """
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    if not changes or set(changes) - CHANGEABLE:
        value, allowed = ", ".join(sorted(changes)), ", ".join(sorted(CHANGEABLE))
        raise Invalid("nothing here can be changed", field="commission", value=value, allowed=allowed)
    given = {name: changes[name] for name in ENQUIRY if name in changes}
    data: dict[str, Any] = {"number": found.number, **_enquiry(given)}
    if "title" in changes:
        _check_title(changes["title"])
        data["title"] = store_private_text(
            changes["title"], field="title", longest=LONGEST_TITLE, one_line=True
        )
    if "notes" in changes:
        data["notes"] = store_private_text(changes["notes"], field="notes")
    if "promise_on" in changes:
        data["promise_on"] = changes["promise_on"]
    if "tell_days" in changes:
        data["tell_days"] = _tell_days(changes["tell_days"])
    tx.append("commission_changed", f"commission:{found.number}", data)


def _tell_days(days: int | None) -> int | None:
    if days is not None and not 0 <= days <= LONGEST_SILENCE_D:
        allowed = f"0 to {LONGEST_SILENCE_D}, or none"
        raise Invalid("not a number of days", field="tell_days", value=days, allowed=allowed)
    return days


@command
def move_commission(tx: CommandTransaction, *, commission: str, to: str, reason: str = "") -> None:
    """Move a commission to quoted, accepted, declined or cancelled. Stages cause the other moves.

    Accepting needs a price and a promised day; ``accept_order`` sets both.
    """
    tx.require_owner("moving a commission")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    one_of(to, BY_HAND, "no such move", field="to")
    if to == Step.CANCELLED:
        has_words(reason, f"say why it is {to}", field="reason", allowed="a sentence")
        refuse_if_invoiced(found, lookups.invoices(found))
    if to == Step.ACCEPTED and to in MOVES.get(found.step, ()):
        refuse_unless_agreed(found)
    move(tx, found, to, reason)
    if to == Step.ACCEPTED:
        for piece in found.pieces.order_by("number"):
            start_passive_stages(tx, piece)


def refuse_unless_agreed(commission: Commission) -> None:
    """Refuse a commission without price or promised day, naming what is missing.

    Called by other commands.
    """
    missing = {
        "price": not commission.price_lines.exists() and "a price",
        "promise_on": commission.promise_on is None and "a promised day",
    }
    named = {field: what for field, what in missing.items() if what}
    if named:
        raise NotYet(
            f"commission {commission.number} needs {' and '.join(named.values())} before it is accepted",
            field=next(iter(named)), value="", allowed=" and ".join(named.values()),
            extra={"missing": list(named)},
        )  # fmt: skip


def refuse_past_promise(tx: CommandTransaction, promise_on: date) -> None:
    """Refuse to promise a day that has passed. Called by other commands."""
    today = tx.call.day
    not_before(promise_on, today, "promised for a day that has passed", field="promise_on")


def promise(tx: CommandTransaction, commission: Commission, promise_on: date) -> None:
    """Append the promised day that was agreed, where it is another one. Called by other commands."""
    if promise_on != commission.promise_on:
        tx.append(
            "commission_changed",
            f"commission:{commission.number}",
            {"number": commission.number, "promise_on": promise_on},
        )


def _check_title(title: str) -> None:
    says = "a commission needs a title, or what they ask for"
    has_words(title, says, field="title", allowed="a few words")


def _next_number(tx: CommandTransaction) -> str:
    year = timezone.localtime(tx.call.now).year
    taken = Commission.objects.filter(number__startswith=f"{year}-").values_list("number", flat=True)
    return f"{year}-{max((int(n[5:]) for n in taken), default=0) + 1:03d}"
