"""The values from which each argument of each command is drawn, by its name: see ``hand``."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from jobs.core.units import Units
from jobs.domain.billing.payments import METHODS, WHATS
from jobs.domain.billing.sending import WAYS
from jobs.domain.lifecycle import BY_HAND
from jobs.domain.quoting.losses import BECAUSE
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.routes.approvals import mark_of
from jobs.domain.stock.supplies import UNITS
from jobs.domain.working_time.promises import WEIGHTS
from jobs.models import (
    Appointment,
    Approval,
    Blackout,
    Board,
    Client,
    ClientQuestion,
    Commission,
    Cost,
    DayOff,
    Equipment,
    MoistureReading,
    Note,
    Offer,
    Paper,
    PaperSending,
    Payment,
    Person,
    Picture,
    Piece,
    SafetyTask,
    Supply,
    Wait,
)
from tests.stories import OWN_TEMPLATE
from tests.web.hand import COUNTS, MOISTURES, ODD_COUNTS, ODD_LENGTHS, ODD_NUMBERS, Asked, Hand

ODD_CLOCKS = ("24:00", "25:00", "x")
Draw = Callable[[Hand], Any]
ARGUMENTS: dict[str, Draw] = {
    "client": lambda h: h.row(Client.objects),
    "commission": Hand.commission,
    "piece": lambda h: h.row(Piece.objects, "number", ["x", ""]),
    "stage": Hand.stage,
    "offer": lambda h: h.row(Offer.objects, "number", ["x"]),
    "paper": lambda h: h.row(Paper.objects, "number", ["x"]),
    "payment": lambda h: h.row(Payment.objects),
    "cost": lambda h: h.row(Cost.objects),
    "board": lambda h: h.row(Board.objects, "number"),
    "boards": lambda h: h.some(list(Board.objects.values_list("number", flat=True)), 2),
    "total": lambda h: str(h.number()),
    "appointment": lambda h: h.row(Appointment.objects),
    "sending": lambda h: h.row(PaperSending.objects),
    "reading": lambda h: h.row(MoistureReading.objects),
    "supply": lambda h: h.row(Supply.objects),
    "equipment": lambda h: h.row(Equipment.objects),
    "wait": lambda h: h.row(Wait.objects),
    "task": lambda h: h.row(SafetyTask.objects),
    "question": lambda h: h.row(ClientQuestion.objects),
    "person": lambda h: h.row(Person.objects, "id", ["x"]),
    "version": lambda h: h.one([1, 2], [0, -1, 99]),
    "units": lambda h: h.random.choice([Units(), Units(length="mm", temperature="C")]),
    "kind": lambda h: h.one(list(KINDS), ["x"]),
    "key": lambda h: h.one(["own", "quick-glue", "quick-finish", "pva"], ["", "Ö x", "x" * 99]),
    "data": Hand.sheet,
    "gate": lambda h: h.one([*h.measured(), *h.override()], ["x", ""]),
    "measured": Hand.measured,
    "override": Hand.override,
    "clamps": lambda h: {str(h.row(Equipment.objects)): h.one(COUNTS, ODD_COUNTS)} if h.odd else {},
    "minutes": lambda h: h.one([5, 90], ODD_COUNTS),
    "joints_ripped": lambda h: h.one([0, 1], ODD_COUNTS),
    "net": Hand.number,
    "tax": Hand.number,
    "supplier": lambda h: h.words(),
    "day": Hand.day,
    "holds": lambda h: h.one(["1", "0.5"], ODD_NUMBERS),
    "unit": lambda h: h.one(list(UNITS), ["x"]),
    "value": lambda h: h.one(["20 C", "7", "yes", "1/32"], ODD_NUMBERS),
    "reason": lambda h: h.words(),
    "because": lambda h: h.one(BECAUSE, ["x", ""]),
    "why": lambda h: h.words(),
    "method": lambda h: h.one(METHODS, ["x", ""]),
    "send": lambda h: h.one([*WAYS, ""], ["x"]),
    "receipt": lambda h: h.random.random() < 0.5,
    "by_hand": lambda h: h.random.random() < 0.5,
    "glue_on": Hand.moment,
    "joints": Hand.joints,
    "remark": lambda h: h.words(),
    "how": lambda h: h.words(),
    "words": lambda h: h.words(),
    "notes": lambda h: h.words(),
    "asks_for": lambda h: h.words(),
    "heard": lambda h: h.words(),
    "budget": Hand.number,
    "wanted_on": Hand.day,
    "note": lambda h: h.words(),
    "title": lambda h: h.words(),
    "name": lambda h: h.words(),
    "lot": lambda h: h.words(),
    "to": lambda h: h.one(BY_HAND, ["x", "closed"]),
    "lines": Hand.lines,
    "alternatives": lambda h: [h.other() for _ in range(h.random.randint(0, 2))],
    "chosen": lambda h: h.random.choice([[], [1], [1, 2], [0], [1, 1]]),
    "hours": Hand.hours,
    "own_hours": lambda h: h.some([h.row(Piece.objects, "number", ["x"])], 1),
    "amount": Hand.number,
    "pct": lambda h: h.one([Decimal(50), Decimal(100)], [Decimal(0), Decimal("NaN"), Decimal("1e30")]),
    "deposit_pct": Hand.number,
    "deposit": Hand.number,
    "due_on": Hand.day,
    "supplied_on": Hand.day,
    "promise_on": Hand.day,
    "received_on": Hand.day,
    "got_on": Hand.day,
    "opened_on": Hand.day,
    "use_by": Hand.day,
    "since": Hand.moment,
    "until": Hand.moment,
    "what": lambda h: h.one(WHATS, ["x"]),
    "allocated": Hand.shares,
    "again": lambda h: h.random.random() < 0.5,
    "long_ago": lambda h: h.random.random() < 0.5,
    "more_than_owed": lambda h: h.random.random() < 0.5,
    "confirm": lambda h: h.row(Commission.objects.filter(client=h.asked["client"]), "number", ["x"]) or "x",
    "also": lambda h: h.some(list(Note.objects.values_list("id", flat=True)), 1),
    "count": lambda h: h.one(COUNTS, ODD_COUNTS),
    "reach": Hand.length,
    "clamp_kind": lambda h: h.one(["", "pipe"], ["x"]),
    "only_for": lambda h: h.some(["route", "species", "glue", "finish"], 2),
    "picture": Hand.picture,
    "logo": Hand.picture,
    "pictures": lambda h: h.some(list(Picture.objects.values_list("id", flat=True)), 2),
    "answers": lambda h: h.some(list(ClientQuestion.objects.values_list("id", flat=True)), 2),
    "rule": lambda h: h.maybe({"before": "square-ends", "than": h.one(["stiffeners", "finishing"], ["x"])}),
    "sha256": lambda h: "a" * 64,
    "size_bytes": lambda h: 9,
    "asked": Hand.piece,
    "drawings": lambda h: h.some(list(Piece.objects.values_list("number", flat=True)), 2),
    "samples": lambda h: h.some(list(Piece.objects.values_list("number", flat=True)), 2),
    "shown": lambda h: {one.id: mark_of(one.shown) for one in Approval.objects.all()[:2]},
    "link": lambda h: h.maybe(7),
    "species": Hand.wood,
    "length": Hand.length,
    "width": Hand.length,
    "thickness": Hand.length,
    "depth": lambda h: h.one(["1/4", "8 mm"], ODD_LENGTHS),
    "price": lambda h: str(h.number()),
    "sheet": lambda h: h.product(h.one(["glue", "finish"])),
    "shelf_life_d": lambda h: h.one([1, 365], ODD_COUNTS),
    "level": lambda h: h.one(Supply.Level.values, ["x"]),
    "place": lambda h: h.one(["bench", "clamps", "finishing room"], ["x", "<b>"]),
    "after": Hand.keys,
    "before": Hand.keys,
    "text": lambda h: h.one([OWN_TEMPLATE, OWN_TEMPLATE + 'notes = ["O\'Brien & <Sons>"]\n'], ["", "key = "]),
    "settings": Hand.settings,
    "who": lambda h: h.row(Person.objects, "id", ["x", ""]),
    "first": Hand.day,
    "last": lambda h: h.maybe(h.day()),
    "begins": lambda h: h.one(["", "13:00"], ODD_CLOCKS),
    "ends": lambda h: h.one(["", "15:30"], ODD_CLOCKS),
    "back_until": lambda h: h.one(["", "21:00"], ODD_CLOCKS),
    "week": lambda h: h.one([None, _a_week(h), _a_week(h)], [[], [[["x"]]] * 7]),
    "unwanted": lambda h: h.one([None, [[]] * 5 + [[["09:00", "12:00"]], []]], [[], [[["x", "y"]]] * 7]),
    "limits": lambda h: h.one([{}, {"clamps": "not alone"}], [{"clamps": "x"}, {"x": "no"}]),
    "day_off": lambda h: h.row(DayOff.objects),
    "blackout": lambda h: h.row(Blackout.objects),
    "firmness": lambda h: h.one(list(WEIGHTS), ["x"]),
    "subject": lambda h: h.reminder("subject"),
    "occasion": lambda h: h.reminder("occasion"),
}
"""How each argument is drawn, by its name; later ones may look at earlier ones."""
MORE: dict[str, Draw] = {
    "set_appointment": lambda h: _a_date(h),
    "change_appointment": lambda h: _a_date(h),
    "add_client": lambda h: h.some_of({k: v for k, v in h.client().items() if k != "name"}, 4),
    "change_client": lambda h: h.some_of(h.client(), 3),
    "change_commission": lambda h: h.some_of(
        {
            "title": h.words(),
            "notes": h.words(),
            "promise_on": h.maybe(h.day()),
            "tell_days": h.maybe(14),
            "asks_for": h.words(),
            "budget": h.maybe(h.number()),
            "wanted_on": h.maybe(h.day()),
        }
    ),  # fmt: skip
    "draft_quote": lambda h: _offered(h),
    "draft_change_order": lambda h: _offered(h),
    "rewrite_offer": lambda h: _offered(h) | ({"lines": h.lines()} if h.random.random() < 0.5 else {}),
    "set_shop": lambda h: h.some_of(
        {k: h.words() for k in ("name", "address", "contact", "payment", "terms", "city", "tax_id")}, 3
    ),
}
"""Arguments of a command beside its named ones."""
SPECIAL: dict[tuple[str, str], Draw] = {
    ("add_cost", "kind"): lambda h: h.one(Cost.Kind.values, ["x"]),
    ("add_cost", "what"): lambda h: h.words(),
    ("correct_cost", "kind"): lambda h: h.one(Cost.Kind.values, ["x"]),
    ("correct_cost", "what"): lambda h: h.words(),
    ("accept_offer", "offer"): lambda h: h.row(Offer.objects.filter(step="issued"), "number", ["x"]),
    ("decline_offer", "offer"): lambda h: h.row(Offer.objects.filter(step="issued"), "number", ["x"]),
    ("accept_offer", "how"): lambda h: h.one(["", "told", "written", "signed"], ["x"]),
    ("issue_offer", "offer"): lambda h: h.row(Offer.objects.filter(step="draft"), "number", ["x"]),
    ("drop_draft", "offer"): lambda h: h.row(Offer.objects.filter(step="draft"), "number", ["x"]),
    ("add_equipment", "kind"): lambda h: h.one(["clamp", "bench place", "finishing room place"], ["x"]),
    ("add_supply", "kind"): lambda h: h.one(["glue", "finish", "hardware", "abrasive"], ["x"]),
    ("add_supply", "sheet"): lambda h: "",
    ("set_sheet", "kind"): lambda h: h.one(["glue", "finish"], ["x"]),
    ("change_piece", "piece"): lambda h: h.row(Piece.objects, "number", ["x"]),
    ("end_hold", "client"): lambda h: h.row(Client.objects),
    ("remove_picture", "picture"): lambda h: h.row(Picture.objects),
    ("dismiss_note", "note"): lambda h: h.row(Note.objects),
    ("retire_note", "note"): lambda h: h.row(Note.objects),
    ("read_moisture", "pct"): lambda h: h.one(MOISTURES, ODD_NUMBERS),
    ("correct_measurement", "override"): lambda h: h.words(),
    ("add_measurement", "override"): lambda h: h.words(),
    ("accept_order", "price"): Hand.number,
    ("draft_quote", "minutes"): lambda h: {},
    ("change_piece", "asked"): lambda h: h.some_of(h.piece(), 4),
}
"""Arguments with another meaning in one command."""


def _a_week(h: Hand) -> list[list[list[str]]]:
    spans = [["08:00", "12:00"], h.one([["13:00", "17:00"]], [["11:00", "17:00"], ["17:00", "13:00"]])]
    return [h.some(spans, 2) for _ in range(7)]


def _a_date(h: Hand) -> Asked:
    said = {
        "at": h.one(["10:30", ""], ["25:00", "x"]),
        "minutes": h.one([60, None], ODD_COUNTS),
        "place": h.words(),
        "note": h.words(),
        "hands": h.one([1, 2], ODD_COUNTS),
        "people": h.some([*Person.objects.values_list("id", flat=True), "x"], 2),
        "tell_client": h.random.random() < 0.3,
        "anyway": h.random.random() < 0.3,
    }
    kind = h.one(Appointment.Kind.values, ["x"])
    return {"kind": kind, "day": h.day() or h.now.date(), **h.some_of(said, 3)}


def _offered(h: Hand) -> Asked:
    days = h.one([1, 30], ODD_COUNTS)
    return h.some_of(
        {
            "words": h.words(),
            "terms": h.words(),
            "valid_days": days,
            "promise_on": h.day(),
            "deposit_pct": h.number(),
        }
    )


def draws(name: str, chosen: list[str]) -> dict[str, Draw]:
    """Return how the chosen arguments of a command are drawn, in the order of ``ARGUMENTS``."""
    known = {a: SPECIAL.get((name, a)) or ARGUMENTS[a] for a in chosen}
    order = list(ARGUMENTS)
    return dict(sorted(known.items(), key=lambda one: order.index(one[0])))
