"""Changes of the shop that the glue-up of open pieces follows: air, hands, machines, clamps, glue."""

from collections.abc import Iterable
from datetime import datetime

from jobs.log.outbox import ask_again

FOLLOW_SHOP = "follow the shop"
"""The outbox message that makes the worker calculate the glue-ups of open pieces again."""
OF_THE_GLUE_UP = {"shop_c", "shop_rh_pct", "people_at_hand", "planer_width_len", "jointer_width_len"}
"""Settings that a glue-up is calculated from."""
FIGURES = ("gluing", "clamping")


def follow_settings(changed: Iterable[str], *, now: datetime) -> None:
    """Ask for the glue-ups again where one of these settings is among what they rest on."""
    if OF_THE_GLUE_UP & set(changed):
        follow_shop(now=now)


def follow_shop(*, now: datetime) -> None:
    ask_again(FOLLOW_SHOP, "open pieces", now=now)
