"""Projections of readings: the means of quarter hours."""

from jobs.domain.climate import air_history
from jobs.log.projectors import Turn, refills

refills(Turn.READINGS)(air_history.refill)
