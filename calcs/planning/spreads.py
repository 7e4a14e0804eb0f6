"""How long work and waits may take: log-normal times, learned from what the shop's log holds."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log, sqrt
from statistics import median, stdev

from calcs.kit.errors import OutOfRange
from calcs.kit.validators import shown, whole

PRIOR_LOG_SD = 0.45
"""Standard deviation of the logarithm before the log says it. Common practice, no source."""
PRIOR_JOBS = 4
"""Count of jobs that the usual value is worth beside those of the log. Common practice, no source."""
SHOPS_LOG_SD = 0.30
"""Standard deviation of the logarithm from shop to shop. Common practice, no source."""
MEDIAN_ERROR = sqrt(3.141592653589793 / 2)
"""Standard error of a median over that of a mean, for normal values."""
NORMAL_MAD = 1.4826
"""Standard deviation of normal values over their median absolute deviation."""
ONE_IN_TWENTY = 1.6449
"""Standard deviations beyond which one normal value in twenty lies."""
FEW = 5
USUAL_LOSSES = 2


def _between(value: float, name: str, least: float, most: float) -> None:
    """Refuse a number outside of a range; what is no number lies outside too."""
    if not least <= value <= most:
        raise OutOfRange(
            f"{name} {shown(value)} is out of range: {least:g} to {most:g}",
            field=name, value=value, allowed=f"{least:g} to {most:g}",
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Spread:
    """A time [min] that is log-normal: as often below ``median`` as above it.

    Parameters
    ----------
    median : float
        Half of the times are shorter [min]; 0 for a moment.
    log_sd : float
        Standard deviation of the natural logarithm from one time to the next, with what the tasks of a
        commission or all waits share of it.
    kind : str
        Times of one kind are learned from the same jobs, so an error of their median is the same for all.
    kind_sd : float
        Standard deviation of the logarithm by which the median of the kind may be wrong.
    least : float
        No time is shorter [min].

    Notes
    -----
    Times of activities in projects were found log-normal, and not independent of each other [1]_.

    References
    ----------
    .. [1] Trietsch, Mazmanyan, Gevorgyan, Baker, "Modeling activity times by the Parkinson distribution with
       a lognormal core", European Journal of Operational Research (2012); its abstract was seen.
    """

    median: float
    log_sd: float = 0.0
    kind: str = ""
    kind_sd: float = 0.0
    least: float = 0.0

    def __post_init__(self) -> None:
        _between(self.median, "median", 0, 1e7)
        _between(self.log_sd, "log_sd", 0, 3)
        _between(self.kind_sd, "kind_sd", 0, 3)
        _between(self.least, "least", 0, 1e7)

    def minutes(self, own: float, shared: float = 0.0) -> float:
        """Return the time [min] at ``own`` standard deviations; ``shared`` is added to its logarithm."""
        return max(self.least, self.median * exp(self.log_sd * own + shared))


def three_points(*, least: float, likely: float, most: float, kind: str = "") -> Spread:
    """Return the spread of a time [min] that is rarely under ``least`` and rarely over ``most``.

    Rarely is one time in twenty; ``likely`` is taken for the median. Common practice, no source.

    Raises
    ------
    OutOfRange
        If the three are not in their order, or not above 0.
    """
    _between(least, "least", 1e-3, likely)
    _between(most, "most", likely, 1e7)
    return Spread(median=likely, log_sd=log(most / least) / (2 * ONE_IN_TWENTY), kind=kind)


def spread_of(
    minutes: Sequence[float],
    *,
    usual: float | None = None,
    kind: str = "",
    usual_log_sd: float = PRIOR_LOG_SD,
) -> Spread:
    """Return the spread of what the log holds of a kind [min], beside its usual value where that is known.

    Parameters
    ----------
    minutes : sequence
        Attended minutes of each job, or minutes for each unit of what drives the kind.
    usual : float
        Value without a log [min], worth ``PRIOR_JOBS`` jobs. None: the log alone says the median.
    usual_log_sd : float
        Spread without a log, worth ``PRIOR_JOBS`` jobs too.

    Raises
    ------
    OutOfRange
        If a value is not above 0, or there are neither values nor a usual one.

    Notes
    -----
    Median and median absolute deviation of the logarithms: a job that was logged ten times too long moves
    them little. With fewer than five values the standard deviation takes the place of the latter.
    """
    for value in minutes:
        _between(value, "minutes", 1e-3, 1e7)
    whole(len(minutes) + (usual is not None), "count of minutes", least=1)
    logs = [log(value) for value in minutes]
    jobs, prior_jobs = len(logs), PRIOR_JOBS if usual is not None else 0
    total = jobs * median(logs) if logs else 0.0
    if usual is not None:
        _between(usual, "usual", 1e-3, 1e7)
        total += prior_jobs * log(usual)
    log_sd = sqrt((PRIOR_JOBS * usual_log_sd**2 + jobs * _log_sd(logs) ** 2) / (PRIOR_JOBS + jobs))
    return Spread(
        median=exp(total / (jobs + prior_jobs)), log_sd=log_sd, kind=kind,
        kind_sd=MEDIAN_ERROR * log_sd / sqrt(jobs + prior_jobs),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Pace:
    """Ratio of a shop's minutes to the usual ones, over all kinds; ``log_sd`` says how unsure it is."""

    factor: float
    log_sd: float


def pace_of(logged: Mapping[str, Sequence[float]], usual: Mapping[str, float]) -> Pace:
    """Return the pace of a shop: one who is slow is slow everywhere, also at what the log does not hold yet.

    Parameters
    ----------
    logged : mapping
        Attended minutes by kind, above 0.
    usual : mapping
        Usual minutes by kind, above 0. Kinds without one are left out.

    Notes
    -----
    The median of the logarithms of logged over usual, drawn towards 0: before the log says it, one shop
    differs from another by ``SHOPS_LOG_SD``. Usual values times the pace are then usual for this shop.
    """
    over = [
        log(minutes / usual[kind]) for kind, times in logged.items() if kind in usual for minutes in times
    ]
    if not over:
        return Pace(factor=1.0, log_sd=SHOPS_LOG_SD)
    error = max(PRIOR_LOG_SD, _log_sd(over)) * MEDIAN_ERROR / sqrt(len(over))
    trust = SHOPS_LOG_SD**2 / (SHOPS_LOG_SD**2 + error**2)
    return Pace(factor=exp(trust * median(over)), log_sd=SHOPS_LOG_SD * sqrt(1 - trust))


def _log_sd(logs: Sequence[float]) -> float:
    if len(logs) < FEW:
        return stdev(logs) if len(logs) > 1 else 0.0
    middle = median(logs)
    return NORMAL_MAD * median(abs(value - middle) for value in logs)


@dataclass(frozen=True, kw_only=True, slots=True)
class Interruptions:
    """Half-days that people lose: ill, called away, a machine down. Common practice, no source.

    ``lost_pct`` of the half-days are lost; one loss lasts ``half_days`` of them on average. ``log_sd`` is the
    standard deviation of the logarithm by which ``lost_pct`` may be wrong.
    """

    lost_pct: float = 4.0
    half_days: float = 2.0
    log_sd: float = 0.7

    def __post_init__(self) -> None:
        _between(self.lost_pct, "lost_pct", 0, 60)
        _between(self.half_days, "half_days", 1, 60)
        _between(self.log_sd, "log_sd", 0, 3)


def interruptions_of(*, half_days: int, lost: int, losses: int) -> Interruptions:
    """Return what the log says of lost half-days, beside two usual losses of two half-days in a hundred.

    Parameters
    ----------
    half_days, lost, losses : int
        Half-days that people were to work, how many of them were lost, in how many losses.

    Raises
    ------
    OutOfRange
        If a count is below 0, or losses, lost and half-days are not in this order.

    Notes
    -----
    Losses come by chance, so their count is unsure by its square root: of few losses little is known.
    """
    whole(losses, "losses", least=0)
    whole(lost, "lost", least=losses)
    whole(half_days, "half_days", least=lost)
    usual = Interruptions()
    share = (lost + USUAL_LOSSES * usual.half_days) / (half_days + 100)
    return Interruptions(
        lost_pct=min(60.0, 100 * share),
        half_days=min(60.0, (lost + USUAL_LOSSES * usual.half_days) / (losses + USUAL_LOSSES)),
        log_sd=1 / sqrt(losses + USUAL_LOSSES),
    )


@dataclass(frozen=True, kw_only=True)
class Uncertainty:
    """Doubts that a simulation of a plan has.

    Parameters
    ----------
    tasks : mapping
        Spread of the attended minutes by key of the task. A task without one lasts as planned.
    lags : mapping
        Spread of the wait by the keys of its two tasks; it takes the place of ``least``.
    interruptions : Interruptions
        Lost half-days of people.
    shop_log_sd : float
        Standard deviation of the logarithm that all tasks of a run share: a slow maker is slow everywhere.
    job_log_sd : float
        The same for the tasks of one commission; a part of their own spread.
    waits_log_sd : float
        The same for all waits, a part of their own spread: cold nights lengthen every cure.
    """

    tasks: Mapping[str, Spread] = field(default_factory=dict)
    lags: Mapping[tuple[str, str], Spread] = field(default_factory=dict)
    interruptions: Interruptions = Interruptions()
    shop_log_sd: float = 0.10
    job_log_sd: float = 0.15
    waits_log_sd: float = 0.10

    def __post_init__(self) -> None:
        for name in ("shop_log_sd", "job_log_sd", "waits_log_sd"):
            _between(getattr(self, name), name, 0, 3)
