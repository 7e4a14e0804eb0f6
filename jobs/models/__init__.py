"""All tables of the job log, by noun."""

from jobs.models.commissions import Attempt, Client, Commission, Piece, PriceLine, Stage, Wait
from jobs.models.engine import CalendarEntry, Heartbeat
from jobs.models.equipment import Equipment, Hold
from jobs.models.event import CommandKey, Event, LogHead
from jobs.models.notes import Note, NoteDismissal
from jobs.models.offers import Offer, OfferAlternative, OfferLine
from jobs.models.papers import Invoice, Paper, Payment
from jobs.models.people import Person, PushAddress, ReminderWish, Token
from jobs.models.pictures import Picture
from jobs.models.private import PrivateText
from jobs.models.readings import AirMean, Reading
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
from jobs.models.safety import SafetyTask
from jobs.models.shop import RouteTemplate, Sheet, ShopProfile
from jobs.models.stock import Board, MoistureReading, Supply
from jobs.models.telling import ClientLink, ClientQuestion, ClientUpdate

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
