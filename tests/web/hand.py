"""Arguments that somebody may pass to a command: a value for each, usual or odd, of the type it takes.

An argument with a new name must be added to ``ARGUMENTS``.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from random import Random
from typing import Any

from PIL import Image

from jobs.domain.billing.payments import Share
from jobs.domain.billing.prices import Line
from jobs.domain.billing.taxes import TAX_CATEGORIES
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.routes import all_routes
from jobs.domain.stock.product_sheets import newest
from jobs.models import (
    Commission,
    Paper,
    Piece,
    ReminderDue,
    Sheet,
    Stage,
)
from tests.shop_fixtures import QUICK_FINISH, QUICK_GLUE, QUICK_OIL, TOP, good

Asked = dict[str, Any]
WORDS = [
    "Desk by the window", "O'Brien & <Sons> \"Ltd\"", "<script>alert(1)</script>", "Zażółć gęślą jaźń",
    "李小龍的桌子",
    "طاولة من خشب الجوز", "लकड़ी की मेज़", "🪵🪚 table", "%s {0} {{ x }} {% y %}",
    "a\u0301\u0302\u0303 e\u200db", "x" * 119, "-",
    "first line\nsecond line", "=1+1", "ﬁle ½ ²", "Rindfleischetikettierungsüberwachungstisch" * 2,
    "l'orme\u00a0rouge",
]  # fmt: skip
ODD_WORDS = ["", " ", "x" * 20_001, "tab\tin it", "bell\x07", "turned \u202e round", "\ufffe", "\u2028"]
WOODS = [
    "walnut", "hard maple", "white oak", "cherry", "douglas fir", "ipe (not in the table)",
    "l'orme <b>rouge</b> (not in the table)", "木 (not in the table)",
]  # fmt: skip
ODD_WOODS = ["", "cheese", "(not in the table)", " (not in the table)", "x" * 200 + " (not in the table)"]
LENGTHS = ["60", "30", "1 1/2", "7' 3 1/2\"", "96 in", "1200 mm", "42", "2", "1", "20 ft", "3 m", "18", "5/4"]
ODD_LENGTHS = ["0", "1/64", "-1", "1/0", "", "9999", "1 mile", "nan", "1e5", "1 mm", "20 m", "٣", "1_0"]
NUMBERS = ["100", "0.01", "19", "7.5", "250.00", "1"]
ODD_NUMBERS = ["0", "-1", "1e2", "NaN", "Infinity", "1.00001", "99999999999", "-0", "0.000000001"]
COUNTS, ODD_COUNTS = [1, 2, 3, 10, 60], [0, -1, 10**6, 10**12, 2**63, 10**30]
MOISTURES = ["7", "8.5", "11.6", "6"]
EDGES = [date.min, date.max, date(1970, 1, 1), date(2099, 12, 31), date(9999, 12, 30)]


class Hand:
    """Draws the arguments of a command: usual ones, now and then an odd one among them."""

    def __init__(self, random: Random, now: datetime) -> None:
        self.random, self.now = random, now
        self.odd = random.random() < 0.25
        self.asked: Asked = {}

    def of(self, draws: Mapping[str, Callable[["Hand"], Any]]) -> Asked:
        """Draw these arguments in their order; one may look at those before it."""
        for name, draw in draws.items():
            self.asked[name] = draw(self)
        return self.asked

    def one(self, usual: Sequence[Any], odd: Sequence[Any] = ()) -> Any:
        if odd and (self.odd and self.random.random() < 0.4 or not usual):
            return self.random.choice(list(odd))
        return self.random.choice(list(usual)) if usual else None

    def some(self, usual: Sequence[Any], most: int = 3) -> list[Any]:
        return self.random.sample(list(usual), min(len(usual), self.random.randint(0, most)))

    def row(self, rows: Any, column: str = "id", odd: Sequence[Any] = (0, 10**12, 10**17)) -> Any:
        """Draw one of these rows, the latest ones more often."""
        values = list(rows.order_by("id").values_list(column, flat=True))
        return self.one(values[-3:] if self.random.random() < 0.6 else values, odd)

    def words(self) -> str:
        return str(self.one(WORDS, ODD_WORDS))

    def maybe(self, value: Any) -> Any:
        return self.random.choice([None, value])

    def number(self) -> Decimal:
        return Decimal(self.one(NUMBERS, ODD_NUMBERS))

    def length(self) -> str:
        return str(self.one(LENGTHS, ODD_LENGTHS))

    def day(self) -> date:
        near = self.now.date() + timedelta(days=self.random.choice([0, 1, 14, 90, -1, -30]))
        return self.one([near], EDGES)  # type: ignore[no-any-return]

    def moment(self) -> datetime:
        near = self.now + timedelta(hours=self.random.choice([0, 1, 24, -1, -50]))
        return self.one([near], [self.now.replace(year=2), self.now.replace(year=9999)])  # type: ignore[no-any-return]

    def joints(self) -> list[dict[str, Any]]:
        return [{"joint": name, "at": self.moment()} for name in self.some(["A-B", "B-C", "A-B", ""])]

    def stage(self) -> str:
        """Draw a stage of the drawn piece; those under way and the first planned ones more often."""
        stages = Stage.objects.filter(piece__number=self.asked["piece"]).order_by("position")
        begun = [s.key for s in stages if s.step != Stage.Step.PLANNED][-4:]
        planned = [s.key for s in stages if s.step == Stage.Step.PLANNED]
        near = [*begun, *planned[:2]]
        return str(self.one(near if self.random.random() < 0.8 else [*begun, *planned], ["x", ""]))

    def commission(self) -> Any:
        """Draw a commission, open ones more often."""
        over = ("closed", "declined", "cancelled")
        live = Commission.objects.exclude(step__in=over) if self.random.random() < 0.8 else Commission.objects
        return self.row(live, "number", ["x", "2026-999", ""])

    def keys(self, most: int = 2) -> list[str]:
        found = Stage.objects.filter(piece__number=self.asked["piece"])
        return self.some(list(found.values_list("key", flat=True)), most)

    def measured(self) -> dict[str, str]:
        found = Stage.objects.filter(piece__number=self.asked["piece"], key=self.asked["stage"]).first()
        if found is None:
            return {}
        moment = "finish" if found.step == Stage.Step.UNDER_WAY else "start"
        asked = good(found.piece, found.key, moment)
        return {k: self.one([v], ["", "no", "-5", "99", "x" * 300, *ODD_NUMBERS]) for k, v in asked.items()}

    def override(self) -> dict[str, str]:
        found = Stage.objects.filter(piece__number=self.asked["piece"], key=self.asked["stage"]).first()
        gates = [g["key"] for g in found.spec["gates"]] if found else []
        waits = [f"{w}:{k}" for w in ("wait", "window") for k in ("scrape", "unclamp", "machine", "recoat")]
        return dict.fromkeys(self.some([*gates, *waits, "clampings", "x"], 6), self.words())

    def line(self) -> Line:
        return Line(
            description=self.words(),
            unit_price=self.number(),
            quantity=Decimal(self.one(["1", "2", "1.5"], ODD_NUMBERS)),
            unit_code=self.one(["C62", "HUR"], ["", "XXX"]),
            tax_category=self.one(list(TAX_CATEGORIES), ["x"]),
            tax_pct=Decimal(self.one(["0", "7.5", "19"], ["-1", "100", "101"])),
            with_tax=self.one([False], [True]),
        )

    def lines(self) -> list[Line]:
        return [self.line() for _ in range(self.random.randint(0 if self.odd else 1, 3))]

    def other(self) -> Alternative:
        return Alternative(
            piece=self.row(Piece.objects, "number", ["x"]),
            **self.random.choice([{"species": self.wood()}, {"finish": self.product("finish")}, {}]),
            description=self.random.choice(["", self.words()]),
            difference=self.maybe(Decimal(self.one(["-120", "0", "55.5"], ODD_NUMBERS))),
        )

    def wood(self) -> str:
        return str(self.one(WOODS, ODD_WOODS))

    def product(self, kind: str) -> str:
        return str(self.one(sorted(newest(kind)), ["", "x"]))

    def piece(self) -> Asked:
        route = self.one([*all_routes()], ["x", ""])
        asked: Asked = {
            "label": self.words(), "route": route, "species": self.wood(), "length": self.length(),
            "width": self.length(), "thickness": self.one(["1", "1 1/2", "2", "45 mm"], ODD_LENGTHS),
            "quantity": self.one(COUNTS, ODD_COUNTS), "stiffeners": self.one(["yes", "no"], ["maybe"]),
            "glue": self.product("glue"), "finish_face": self.product("finish"),
            "finish_under": self.product("finish"), "waste_pct": str(self.number()),
            "sealing_coats": self.one([0, 1, 3], ODD_COUNTS), "build_coats": self.one([0, 1, 3], ODD_COUNTS),
            "joinery": self.one(["biscuits", "dowels", "loose tenons", "plain glued"], ["x"]),
            "mark": self.one(["none", "before finishing", "after finishing"], ["x"]),
            "edge_profile": self.one(["square", "eased", "bullnose"], ["x"]),
            "widest_strip": self.length(), "board_width": self.length(), "board_length": self.length(),
            "trim_length": self.length(), "trim_width": self.length(),
            "stages": [self.words() for _ in range(self.random.randint(0, 4))],
        }  # fmt: skip
        chosen = self.some(list(asked), 4 if self.odd else 3)
        return {**TOP, "label": self.words(), **{k: asked[k] for k in chosen}}

    def some_of(self, asked: Asked, most: int = 3) -> Asked:
        return {k: asked[k] for k in self.some(list(asked), most)}

    def client(self) -> Asked:
        return {
            "name": self.words(), "email": self.one(["orla@fenwick.example", ""], ["x", "a@b"]),
            "phone": self.one(["555 0142", "+49 (0)30 1"], ODD_WORDS), "address": self.words(),
            "city": self.words(),
            "postcode": self.one(["AL4 7QX", "12345"], ["x" * 30]), "country": self.one(["DE", "US"],
            ["XX", "de"]),
            "tax_id": self.one(["DE811569869", "x"], ODD_WORDS), "exempt": self.words(),
            "exempt_state": self.words(),
            "exempt_until": self.one(["2026-12-31", ""], ["31.12.", "2026-13-01"]),
            "buyer_reference": self.one(["991-03730-19", "order 77"], ["991-03730-18"]),
            "endpoint": self.one(["0204:991-03730-19", "a@b.example"], ["9999:1", "x"]),
        }  # fmt: skip

    def picture(self) -> bytes | None:
        out = BytesIO()
        size = self.one([(64, 48), (300, 200)], [(1, 1), (1, 2000)])
        kind = self.random.choice(["PNG", "JPEG", "GIF", "WEBP"])
        Image.new("RGB", size, "tan").save(out, kind)
        content = out.getvalue()
        return self.one([content], [b"", b"no picture", content[:60], None])  # type: ignore[no-any-return]

    def settings(self) -> Asked:
        return self.some_of({
            "currency": self.one(["USD", "EUR", "JPY"], ["usd", "X"]), "paper_size": self.one(["A4",
            "letter"], ["x"]),
            "tax_pct": str(self.number()), "deposit_pct": self.one(["0", "50", "100"], ODD_NUMBERS),
            "price_per_board_foot": str(self.number()), "shop_c": self.one(["8", "20", "30"], ODD_NUMBERS),
            "shop_rh_pct": self.one(["20", "45", "80"], ODD_NUMBERS),
            "summer_rh_pct": self.one(["30", "65"], ODD_NUMBERS), "winter_rh_pct": self.one(["20", "60"],
            ODD_NUMBERS),
            "indoor_c": self.one(["5", "21"], ODD_NUMBERS), "hourly_rate": str(self.number()),
            "people_at_hand": self.one([1, 2, 4], ODD_COUNTS), "quote_valid_days": self.one([1, 30],
            ODD_COUNTS), "quote_follow_up_days": self.one([0, 5], ODD_COUNTS),
            "promise_margin_days": self.one([0, 2], ODD_COUNTS),
            "invoice_due_days": self.one([0, 14], ODD_COUNTS), "keep_papers_years": self.one([0, 10],
            ODD_COUNTS),
            "tell_client_days": self.one([0, 14], ODD_COUNTS), "closing_time": self.one(["17:30", "00:00"],
            ["25:00"]),
            "planer_width": self.length(), "jointer_width": self.length(), "waste_pct": str(self.number()),
            "lumber_prices": {self.wood(): str(self.number())}, "places": [self.words(), "shop"],
            "finish_prices": {self.product("finish"): str(self.number())}, "disc_price": str(self.number()),
            "pay_by": self.one(["transfer", "check"], ["coins"]),
            "invoice_file": self.one(["none", "UBL", "CII"], ["x"]),
            "profit_as": self.one(["markup", "margin"], ["x"]), "profit_pct": str(self.number()),
        })  # fmt: skip

    def sheet(self) -> Asked:
        if self.asked["kind"] == Sheet.Kind.GLUE:
            data = QUICK_GLUE | {"unclamp_s": self.one([2, 86_400, 10**7], ODD_COUNTS)}
        else:
            data = self.random.choice([QUICK_FINISH, QUICK_OIL]) | {
                "full_s": self.one([4, 10**7], ODD_COUNTS)
            }
        return data | {"name": self.words(), "min_temp_c": self.one(["10", "-5"], ODD_NUMBERS)}

    def reminder(self, column: str) -> Any:
        return self.row(ReminderDue.objects.exclude(subject=""), column, ["", "x", "commission:x"])

    def shares(self) -> list[Share]:
        papers = Paper.objects.filter(commission__number=self.asked["commission"])
        numbers = self.some(list(papers.values_list("number", flat=True)), 2)
        return [Share(paper=n, amount=self.number()) for n in numbers]

    def hours(self) -> dict[str, Decimal]:
        piece = self.row(Piece.objects, "number", ["x"])
        return {piece: self.number()} if self.random.random() < 0.3 else {}
