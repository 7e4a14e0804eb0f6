"""What has to hold in a shop after every command.

The log verifies, a rebuild from it gives the live tables, and recalculation gives the derived tables.
What the command left in memory is what the database says. A refusal has left nothing.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import transaction
from hypothesis import event, note
from hypothesis.stateful import RuleBasedStateMachine

from calcs.kit.errors import CalcError
from jobs.core.command_cache import remembering
from jobs.core.errors import ShopError
from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.commission import commission_rows, commission_view
from jobs.log.commands import CommandContext, CommandResult, verify_log
from jobs.log.projectors import Turn, refill
from jobs.log.rebuild import compare
from jobs.log.scratch_database import state_models
from jobs.models import (
    CommandKey,
    Commission,
    Event,
    LogHead,
    OutboxMessage,
    Person,
    PrivateText,
    ReminderDue,
    WaitEstimate,
)
from tests.log.held import check_held
from tests.shop_fixtures import NOON, a_call

Verb = Callable[..., CommandResult]


def traces() -> dict[str, Any]:
    """Return everything that a refused command could have left behind."""
    head = LogHead.objects.get()
    beside = (Event, CommandKey, OutboxMessage, WaitEstimate, ReminderDue)
    return {
        "head": (head.seq, head.hash, head.recorded_at),
        "texts": set(PrivateText.objects.values_list("id", "text")),
        **{m.__name__: m.objects.count() for m in beside},
        **{m.__name__: list(m._default_manager.order_by("id").values()) for m in state_models()},
    }


def schedule() -> list[tuple[Any, ...]]:
    due = ("wait", "task", "subject", "occasion", "kind", "person", "channel", "attempt", "due_at")
    return [
        *WaitEstimate.objects.order_by("wait").values_list("wait", "ready_at", "closes_at"),
        *ReminderDue.objects.order_by(*due).values_list(*due),
    ]


class SoundShop(RuleBasedStateMachine):
    """A shop that checks itself after every command; each example is rolled back."""

    owner: Person

    def __init__(self) -> None:
        super().__init__()
        self.now = NOON
        self.keys = self.held = 0
        self.last: tuple[CommandContext, Verb, dict[str, Any]] | None = None
        self.rolled_back = transaction.atomic()
        self.rolled_back.__enter__()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.rolled_back.__exit__(None, None, None)
        assert self.held, "no command left anything in memory"

    def call(self, **more: Any) -> CommandContext:
        self.now += timedelta(seconds=1)
        self.keys += 1
        return a_call(self.owner, self.now, key=f"k{self.keys}", fingerprint=f"request {self.keys}", **more)

    def attempt(self, verb: Verb, call: CommandContext | None = None, **asked: Any) -> CommandResult | None:
        """Run a command; whatever its outcome, the shop is sound."""
        call, before = call or self.call(), traces()
        try:
            with remembering(), transaction.atomic():
                done = verb(call, **asked)
                self.held += check_held()
        except (ShopError, CalcError) as refused:
            event(f"{verb.__name__}: {type(refused).__name__}")
            assert str(refused)
            assert traces() == before
            return None
        event(f"{verb.__name__}: done")
        note(f"{verb.__name__} {asked}")
        assert done.events and not done.replayed
        self.sound()
        self.last = (call, verb, asked)
        return done

    def sound(self) -> None:
        head = LogHead.objects.get()
        assert verify_log().count == head.seq == Event.objects.count()
        assert [str(d) for d in compare()] == []
        due = schedule()
        refill(since=Turn.ESTIMATES)
        assert schedule() == due
        self.seen_by_all()

    def seen_by_all(self) -> None:
        """Read the pages, whatever state the shop is in."""
        for money in (True, False):
            bench(now=self.now, person=self.owner.id, with_money=money)
        commissions = list(Commission.objects.select_related("client"))
        commission_rows(commissions, now=self.now)
        for one in commissions[-1:]:
            commission_view(one, now=self.now, with_money=True)

    def one(self, rows: Any, pick: int) -> Any:
        """Return one of these rows, or None where there are none."""
        rows = list(rows.order_by("id"))
        return rows[pick % len(rows)] if rows else None
