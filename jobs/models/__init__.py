"""All tables of the job log, by noun."""

from jobs.models.billing import Offer, OfferAlternative, OfferLine
from jobs.models.clients import ClientLink, ClientQuestion, ClientUpdate
from jobs.models.climate import AirMean, Reading
from jobs.models.commissions import Attempt, Client, Commission, Piece, PriceLine, Stage, Wait
from jobs.models.log import CalendarEntry, CommandKey, Event, Heartbeat, LogHead, PrivateText
from jobs.models.notes import Note, NoteDismissal, Picture
from jobs.models.papers import Invoice, Paper, Payment
from jobs.models.people import Person, PushAddress, ReminderWish, Token
from jobs.models.reminders import (
    OF_SUBJECTS,
    OF_TASKS,
    OF_WAITS,
    SAYS_TOO,
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
from jobs.models.stages import SafetyTask
from jobs.models.stock import Board, Equipment, Hold, MoistureReading, Supply

__all__ = [
    "OF_SUBJECTS",
    "OF_TASKS",
    "OF_WAITS",
    "SAYS_TOO",
    "AirMean",
    "Attempt",
    "Board",
    "CalendarEntry",
    "Channel",
    "Client",
    "ClientLink",
    "ClientQuestion",
    "ClientUpdate",
    "CommandKey",
    "Commission",
    "Delivery",
    "Effect",
    "Equipment",
    "Event",
    "Heartbeat",
    "Hold",
    "Invoice",
    "Lease",
    "LogHead",
    "MoistureReading",
    "Note",
    "NoteDismissal",
    "Offer",
    "OfferAlternative",
    "OfferLine",
    "Paper",
    "Payment",
    "Person",
    "Picture",
    "Piece",
    "PriceLine",
    "PrivateText",
    "PushAddress",
    "Reading",
    "ReminderDue",
    "ReminderKind",
    "ReminderReply",
    "ReminderWish",
    "RouteTemplate",
    "SafetyTask",
    "Sheet",
    "ShopProfile",
    "Stage",
    "Supply",
    "Token",
    "Wait",
    "WaitEstimate",
]
