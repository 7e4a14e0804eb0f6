"""All tables of the job log, by noun."""

from jobs.models.commissions import Attempt, Client, Commission, Piece, PriceLine, Stage, Wait
from jobs.models.event import CommandKey, Event, LogHead
from jobs.models.papers import Invoice, Paper, Payment
from jobs.models.people import Person, Token
from jobs.models.private import PrivateText
from jobs.models.reminders import (
    Channel,
    Delivery,
    Effect,
    Lease,
    ReminderDue,
    ReminderKind,
    ReminderReply,
    WaitEstimate,
)
from jobs.models.shop import RouteTemplate, Sheet, ShopProfile

__all__ = [
    "Attempt",
    "Channel",
    "Client",
    "CommandKey",
    "Commission",
    "Delivery",
    "Effect",
    "Event",
    "Invoice",
    "Lease",
    "LogHead",
    "Paper",
    "Payment",
    "Person",
    "Piece",
    "PriceLine",
    "PrivateText",
    "ReminderDue",
    "ReminderKind",
    "ReminderReply",
    "RouteTemplate",
    "Sheet",
    "ShopProfile",
    "Stage",
    "Token",
    "Wait",
    "WaitEstimate",
]
