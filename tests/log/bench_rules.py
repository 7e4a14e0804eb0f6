"""The work at the bench, as a shop in which anything may happen next does it: stages, waits, reminders."""

from datetime import timedelta
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.replies import acknowledge_reminder, snooze_reminder
from jobs.domain.stages.commands import finish_stage, put_back_stage, reopen_stage, start_stage
from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.waits.route import RouteState
from jobs.models import Piece, Stage, Wait
from tests.log.soundness import SoundShop, Verb
from tests.shop_fixtures import INCHES, good

PICK = st.integers(0, 10_000)
"""Index of a row, taken modulo their number."""
REASON = st.sampled_from(["", " ", "so agreed on the telephone"])


class Bench(SoundShop):
    """Stages and waits: good work, bad work, and work done before it is dry."""

    def work_on(self, stage: Stage, **more: Any) -> None:
        """Start the stage where it is planned, finish it where it is under way."""
        begun = stage.step == Stage.Step.UNDER_WAY
        verb, moment = (finish_stage, "finish") if begun else (start_stage, "start")
        measured = good(stage.piece, stage.key, moment) | more.pop("measured", {})
        more |= {"minutes": 10} if begun else {}
        self.attempt(verb, piece=stage.piece.number, stage=stage.key, units=INCHES, measured=measured, **more)

    def at_hand(self) -> list[Stage]:
        """Return the stages that could be worked on now, but for time."""
        routes = [RouteState(p) for p in Piece.objects.order_by("id")]
        return [
            s for r in routes for s in r.stages
            if s.step == Stage.Step.UNDER_WAY or (r.open_to(s) and not s.spec["passive"])
        ]  # fmt: skip

    @rule(picks=st.lists(PICK, min_size=2, max_size=8))
    def go_on(self, picks: list[int]) -> None:
        """Do good work on one commission and wait for what has to dry."""
        for pick in picks:
            if stages := self.at_hand():
                self.now += timedelta(hours=1)
                self.work_on(stages[-1 - pick % min(2, len(stages))])

    @rule(picks=st.lists(PICK, min_size=1, max_size=4))
    def hurry(self, picks: list[int]) -> None:
        """Do good work anywhere, whether it is dry or not."""
        for pick in picks:
            if stages := self.at_hand():
                self.work_on(stages[pick % len(stages)])

    @rule(pick=PICK, text=st.sampled_from(["", "99", "no", "nonsense", "-3 C"]), reason=REASON)
    def go_on_badly(self, pick: int, text: str, reason: str) -> None:
        """Work with wrong measurements and running waits, with or without a reason."""
        stages = self.at_hand()
        if not stages:
            return
        stage = stages[pick % len(stages)]
        gates = [g["key"] for g in stage.spec["gates"]]
        moment = "finish" if stage.step == Stage.Step.UNDER_WAY else "start"
        waits = [
            f"{w}:{k}"
            for w in ("wait", "window")
            for k in ("scrape", "unclamp", "machine", "recoat", "full cure")
        ]
        measured = dict.fromkeys(good(stage.piece, stage.key, moment), text)
        override = dict.fromkeys([*gates, *waits], reason) if reason else {}
        self.work_on(stage, measured=measured, override=override)

    @precondition(lambda self: Stage.objects.exists())
    @rule(
        pick=PICK, reason=REASON, minutes=st.sampled_from([None, 0, 5, -1, 10**6]),
        verb=st.sampled_from([start_stage, finish_stage, put_back_stage, reopen_stage]),
    )  # fmt: skip
    def any_stage(self, pick: int, reason: str, minutes: int | None, verb: Verb) -> None:
        stage = self.one(Stage.objects.select_related("piece"), pick)
        more: dict[str, Any] = {"reason": reason} if verb is reopen_stage else {}
        if verb in (start_stage, finish_stage):
            moment = "start" if verb is start_stage else "finish"
            more = {"units": INCHES, "measured": good(stage.piece, stage.key, moment)}
        if verb is finish_stage:
            more |= {"minutes": minutes, "remark": reason}
        self.attempt(verb, piece=stage.piece.number, stage=stage.key, **more)

    @precondition(lambda self: Stage.objects.filter(step__in=("done", "waiting")).exists())
    @rule(pick=PICK, reason=REASON)
    def reopen_finished(self, pick: int, reason: str) -> None:
        stage = self.one(Stage.objects.filter(step__in=("done", "waiting")).select_related("piece"), pick)
        self.attempt(reopen_stage, piece=stage.piece.number, stage=stage.key, reason=reason)

    @precondition(lambda self: Wait.objects.exists())
    @rule(pick=PICK, reason=REASON)
    def end_wait(self, pick: int, reason: str) -> None:
        self.attempt(finish_wait, wait=self.one(Wait.objects, pick).id, reason=reason)

    @precondition(lambda self: Wait.objects.exists())
    @rule(pick=PICK, kind=st.sampled_from([*KINDS, "x"]), hours=st.integers(-1, 200))
    def answer_reminder(self, pick: int, kind: str, hours: int) -> None:
        asked = {"wait": self.one(Wait.objects, pick).id, "kind": kind, "person": self.owner.id}
        if hours % 2:
            self.attempt(acknowledge_reminder, **asked)
        else:
            self.attempt(snooze_reminder, **asked, until=self.now + timedelta(hours=hours))
