"""All tables of the job log, by noun."""

from jobs.models.billing import Offer, OfferAlternative, OfferLine
from jobs.models.clients import Approval, ClientLink, ClientQuestion, ClientUpdate
from jobs.models.climate import AirMean, Reading
from jobs.models.commissions import Attempt, Client, Commission, Piece, PriceLine, Stage, Wait
from jobs.models.costs import Cost
from jobs.models.log import CalendarEntry, CommandKey, Event, Heartbeat, LogHead, PrivateText
from jobs.models.notes import Note, NoteDismissal, Picture
from jobs.models.papers import Invoice, Paper, PaperSending, Payment
from jobs.models.people import Person, PushAddress, ReminderPreference, Token
from jobs.models.planning import (
    Appointment,
    PlanOfDay,
    PlanPin,
    PromiseRisk,
    PromiseTold,
    PublishedPlan,
    StagePlanned,
)
from jobs.models.reminders import (
    SAFETY_TASK,
    Channel,
    Delivery,
    Lease,
    OutboxMessage,
    ReminderDue,
    ReminderReply,
    WaitEstimate,
)
from jobs.models.shop import RouteTemplate, Sheet, ShopProfile
from jobs.models.stages import SafetyTask
from jobs.models.stock import Board, Equipment, Hold, MoistureReading, Supply
from jobs.models.working_time import Blackout, DayOff, WorkingHours

__all__ = [
    "SAFETY_TASK",
    "AirMean",
    "Appointment",
    "Approval",
    "Attempt",
    "Blackout",
    "Board",
    "CalendarEntry",
    "Channel",
    "Client",
    "ClientLink",
    "ClientQuestion",
    "ClientUpdate",
    "CommandKey",
    "Commission",
    "Cost",
    "DayOff",
    "Delivery",
    "OutboxMessage",
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
    "PaperSending",
    "Payment",
    "Person",
    "Picture",
    "Piece",
    "PlanOfDay",
    "PlanPin",
    "PriceLine",
    "PrivateText",
    "PromiseRisk",
    "PromiseTold",
    "PublishedPlan",
    "PushAddress",
    "Reading",
    "ReminderDue",
    "ReminderReply",
    "ReminderPreference",
    "RouteTemplate",
    "SafetyTask",
    "Sheet",
    "ShopProfile",
    "Stage",
    "StagePlanned",
    "Supply",
    "Token",
    "Wait",
    "WaitEstimate",
    "WorkingHours",
]
