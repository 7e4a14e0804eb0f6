"""``manage.py bench plan``: how often promises are kept, over shops that were never looked at."""

from .calibration import HEADER, ORDERS, UNSEEN, lived, rows
from .tables import publish

NOTE = (
    f"Each of {len(UNSEEN)} shops lives through {ORDERS} orders. The planner sees the log of 6 to 24 jobs. "
    "How long work takes, cold weeks, absences and slow answers of clients stay hidden. Half of the orders "
    "are promised at 80 %, half at 95 %. A date is kept if the order is delivered by the end of its day. "
    "The plan's date is that of the plan in which the order was taken; the critical path is the order alone "
    "in an empty shop; the sum is of median minutes and waits."
)


def bench_calibration() -> None:
    dates = lived(UNSEEN)
    publish("calibration", "Promises kept in simulated shops", HEADER, rows(dates), NOTE)
