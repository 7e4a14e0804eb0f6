"""The route of a piece as it stands: predecessors, holding waits, open stages. Reads, never writes."""

from datetime import datetime

from jobs.log.projections import rows
from jobs.models import Commission, Piece, Stage, Wait, WaitEstimate

OVER = (Stage.Step.DONE, Stage.Step.WAITING, Stage.Step.SKIPPED)
"""Steps in which the hands have left a stage; its waits may still hold followers."""


SCRAPE = "scrape"
"""The wait for squeeze-out to turn rubbery."""
ONCE = "commission"
"""The value of ``once_per`` for a stage that is done for all pieces together."""


def is_once(stage: Stage) -> bool:
    """Return whether a stage is done once for the whole commission.

    Pieces laid before ``once_per`` existed do the stage one by one.
    """
    return bool(stage.spec.get("once_per") == ONCE)


def asks_money(stage: Stage) -> bool:
    """Return whether a stage ends only once nothing is owed."""
    return any(gate.get("rule") == "paid-up" for gate in stage.spec["gates"])


class RouteState:
    """Stages and waits of one piece, read once; within a command its events change them."""

    def __init__(self, piece: Piece, laid: rows.Laid | None = None) -> None:
        laid = laid or rows.lay([piece])[0]
        self.piece, self.stages, self.waits = laid.piece, laid.stages, laid.waits
        self.by_key = {stage.key: stage for stage in laid.stages}

    def missing(self, stage: Stage) -> list[Stage]:
        """Return the predecessors that have not been finished."""
        return [self.by_key[k] for k in stage.spec["after"] if self.by_key[k].step not in OVER]

    def holding(self, stage: Stage) -> list[Wait]:
        """Return the running waits that must end before this stage can start."""
        return [w for w in self.waits if stage.key in w.holds]

    def followers(self, stage: Stage) -> list[Stage]:
        return [s for s in self.stages if stage.key in s.spec["after"]]

    def waits_of(self, stage: Stage) -> list[Wait]:
        return [w for w in self.waits if w.stage_id == stage.id]

    def open_to(self, stage: Stage) -> bool:
        """Return whether only waits can still hold this planned stage."""
        return stage.step == Stage.Step.PLANNED and not self.missing(stage) and self.allowed(stage)

    def allowed(self, stage: Stage) -> bool:
        """Return whether the step of the commission allows this stage."""
        commission = self.piece.commission
        step = commission.step
        if step in Commission.ENDED:
            return step == Commission.Step.CLOSED and stage.spec["marks"] == "closed"
        if step in Commission.UNDECIDED:
            return bool(stage.spec["before_acceptance"]) and not commission.is_refused
        return True

    def can_start(self, stage: Stage, now: datetime) -> bool:
        """Return whether this stage is open and no wait holds it any more."""
        return self.open_to(stage) and all(may_begin(w, now) for w in self.holding(stage))

    def finished_at(self, key: str) -> datetime | None:
        """Return when a stage, by its own key or the template's, was last finished on this piece."""
        times = [
            s.finished_at for s in self.stages if key in (s.key, s.spec["template_key"]) and s.finished_at
        ]
        return max(times, default=None)


def awaits_quote(step: str) -> bool:
    """Return whether a commission comes to its quote before any work: a survey starts by hand alone."""
    return step == Commission.Step.ENQUIRY


def estimate_of(wait: Wait) -> WaitEstimate | None:
    """Return the estimate of a running wait; None for a wait that ended."""
    found: WaitEstimate | None = getattr(wait, "estimate", None)
    return found


def times_of(wait: Wait) -> tuple[datetime | None, datetime | None]:
    """Return when a wait is ready and when its window closes, as estimated now; None where unknown."""
    estimate = estimate_of(wait)
    return (estimate.ready_at, estimate.closes_at) if estimate else (None, None)


def is_suspect(wait: Wait) -> bool:
    """Return whether a wait is suspect, by its start or by what was measured since."""
    estimate = estimate_of(wait)
    return wait.suspect or bool(estimate and estimate.suspect)


def reason_of(wait: Wait) -> str:
    """Return the reason for a wait's times: the estimate's, else the one given at its start."""
    estimate = estimate_of(wait)
    return (estimate.reason if estimate else "") or wait.reason


def is_over(wait: Wait, now: datetime) -> bool:
    """Return whether the ready time has come; a wait without a ready time is never over by itself."""
    ready_at, _ = times_of(wait)
    return ready_at is not None and ready_at <= now


def look_at(wait: Wait, estimate: WaitEstimate | None) -> datetime | None:
    """Return the likely time to look at squeeze-out where no moment of its window is certain.

    Squeeze-out that is too soft can be left and looked at again; once hard it is lost. No other work
    tolerates starting too early.
    """
    if estimate is None or wait.kind != SCRAPE:
        return None
    likely, ready, closes = estimate.likely_at, estimate.ready_at, estimate.closes_at
    if likely is None or ready is None or closes is None:
        return None
    return likely if closes <= ready and likely < ready else None


def safe_at(wait: Wait, estimate: WaitEstimate) -> datetime | None:
    """Return the cautious end of the estimate, when work is safe to plan; None without a ready time.

    Where air is measured the ready time is that end already. Squeeze-out keeps its ready time, since later it
    is hard; so does a window that may close before the cautious end.
    """
    ready, latest, closes = estimate.ready_at, estimate.latest_at, estimate.closes_at
    if ready is None or latest is None or latest <= ready or wait.kind == SCRAPE:
        return ready
    return ready if closes is not None and closes <= latest else latest


def may_begin(wait: Wait, now: datetime) -> bool:
    """Return whether the stages held by this wait can begin: it is over, or it is time to look."""
    look = look_at(wait, estimate_of(wait))
    return is_over(wait, now) or (look is not None and look <= now)


def is_missed(wait: Wait, now: datetime) -> bool:
    """Return whether the wait is over and its window has closed.

    Where no moment is certain, the window may close before the wait is over.
    """
    _, closes_at = times_of(wait)
    return closes_at is not None and closes_at < now and is_over(wait, now)
