"""A piece's route as it stands: what precedes what, what is held, what can be done. Reads, never writes."""

from datetime import datetime

from jobs.log.projections import rows
from jobs.models import Commission, Piece, Stage, Wait, WaitEstimate

OVER = (Stage.Step.DONE, Stage.Step.WAITING, Stage.Step.SKIPPED)
"""Steps in which the hands have left a stage; its waits may still hold followers."""


SCRAPE = "scrape"
"""The wait for squeeze-out to turn rubbery."""
ONCE = "commission"
"""What a stage is once per that is done for all pieces together."""


def is_once(stage: Stage) -> bool:
    """Done once for the whole commission. Pieces laid before there was such a word do it each for itself."""
    return bool(stage.spec.get("once_per") == ONCE)


def asks_money(stage: Stage) -> bool:
    """Return whether a stage ends only once nothing is owed."""
    return any(gate.get("rule") == "paid-up" for gate in stage.spec["gates"])


class RouteState:
    """Stages and waits of one piece, read once; within a command they change with its events."""

    def __init__(self, piece: Piece, laid: rows.Laid | None = None) -> None:
        laid = laid or rows.lay([piece])[0]
        self.piece, self.stages, self.waits = laid.piece, laid.stages, laid.waits
        self.by_key = {stage.key: stage for stage in laid.stages}

    def missing(self, stage: Stage) -> list[Stage]:
        """Predecessors that have not been finished."""
        return [self.by_key[k] for k in stage.spec["after"] if self.by_key[k].step not in OVER]

    def holding(self, stage: Stage) -> list[Wait]:
        """Running waits that this stage has to end before it can start."""
        return [w for w in self.waits if stage.key in w.holds]

    def followers(self, stage: Stage) -> list[Stage]:
        return [s for s in self.stages if stage.key in s.spec["after"]]

    def waits_of(self, stage: Stage) -> list[Wait]:
        return [w for w in self.waits if w.stage_id == stage.id]

    def open_to(self, stage: Stage) -> bool:
        """Nothing but time stands before this stage."""
        return stage.step == Stage.Step.PLANNED and not self.missing(stage) and self.allowed(stage)

    def allowed(self, stage: Stage) -> bool:
        """The commission's own step allows this stage."""
        commission = self.piece.commission
        step = commission.step
        if step in Commission.ENDED:
            return step == Commission.Step.CLOSED and stage.spec["marks"] == "closed"
        if step in Commission.UNDECIDED:
            return bool(stage.spec["before_acceptance"]) and not commission.is_refused
        return True

    def can_start(self, stage: Stage, now: datetime) -> bool:
        """Open, and no wait holds it any more."""
        return self.open_to(stage) and all(may_begin(w, now) for w in self.holding(stage))

    def finished_at(self, template_key: str) -> datetime | None:
        """When a stage of the template was last finished on this piece."""
        times = [
            s.finished_at for s in self.stages if s.spec["template_key"] == template_key and s.finished_at
        ]
        return max(times, default=None)


def estimate_of(wait: Wait) -> WaitEstimate | None:
    """What is known of a wait that runs; None of one that is over."""
    found: WaitEstimate | None = getattr(wait, "estimate", None)
    return found


def times_of(wait: Wait) -> tuple[datetime | None, datetime | None]:
    """When a wait is ready and when its window closes, as estimated now; None where nobody can say."""
    estimate = estimate_of(wait)
    return (estimate.ready_at, estimate.closes_at) if estimate else (None, None)


def is_suspect(wait: Wait) -> bool:
    """By what was said at its start, or by what was measured since."""
    estimate = estimate_of(wait)
    return wait.suspect or bool(estimate and estimate.suspect)


def reason_of(wait: Wait) -> str:
    """Why the times of a wait are as they are: what was measured since, else what was said at its start."""
    estimate = estimate_of(wait)
    return (estimate.reason if estimate else "") or wait.reason


def is_over(wait: Wait, now: datetime) -> bool:
    """The wait's ready time has come; one that nobody can time is never over by itself."""
    ready_at, _ = times_of(wait)
    return ready_at is not None and ready_at <= now


def look_at(wait: Wait, estimate: WaitEstimate | None) -> datetime | None:
    """When squeeze-out is looked at although no moment of its window is sure: the likely one.

    Too soft it is left and looked at again; hard it is lost. Nothing else bears being begun too early.
    """
    if estimate is None or wait.kind != SCRAPE:
        return None
    likely, ready, closes = estimate.likely_at, estimate.ready_at, estimate.closes_at
    if likely is None or ready is None or closes is None:
        return None
    return likely if closes <= ready and likely < ready else None


def may_begin(wait: Wait, now: datetime) -> bool:
    """What this wait holds can be begun: it is over, or it is time to look."""
    look = look_at(wait, estimate_of(wait))
    return is_over(wait, now) or (look is not None and look <= now)


def is_missed(wait: Wait, now: datetime) -> bool:
    """The wait is over and its window has closed; where no moment is sure it may close before it is over."""
    _, closes_at = times_of(wait)
    return closes_at is not None and closes_at < now and is_over(wait, now)
