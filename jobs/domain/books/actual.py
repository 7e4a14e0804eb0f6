"""What commissions cost and earned: quoted beside actual; what is unknown is said and counts as unknown."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from calcs.kit.rounding import places
from jobs.core.canonical_json import Parsed, text_of_column
from jobs.domain import lookups
from jobs.domain.billing.prices import price_of
from jobs.domain.books.board_costs import BoardCost, board_costs
from jobs.domain.books.quoted import FINISH, HOURS, KINDS, LUMBER, SUPPLIES, quoted_costs
from jobs.domain.books.supply_costs import Prices, SupplyCost, supplies_used
from jobs.domain.papers.letterhead import currency_of
from jobs.domain.settings import settings
from jobs.log.private_texts import Texts
from jobs.models import Attempt, Commission, Cost, Invoice, Paper, Person, Piece, Stage
from jobs.models.people import Role

OF_CLOCK = {"glue": "gluing", "finish": "finishing"}
"""The calculation of the amount of each product whose clock a wait follows."""
ZERO, MINUTES = Decimal("0.00"), Decimal(60)


@dataclass(frozen=True, kw_only=True)
class Line:
    """One cost; ``amount`` is None where nothing says it. ``cost`` is the key of a cost that was typed."""

    kind: str
    what: str
    amount: Decimal | None
    why: str = ""
    cost: int | None = None


@dataclass(kw_only=True)
class Sheet:
    """All that one commission cost and brought, in its currency, without tax.

    ``income`` is what is invoiced less credits, or before the invoice of the whole the agreed price
    (``is_agreed``).
    """

    currency: str
    lines: list[Line] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    quoted: dict[str, Decimal] = field(default_factory=dict)
    income: Decimal | None = None
    is_agreed: bool = False
    minutes: int = 0

    def actual(self, kind: str) -> Decimal | None:
        """Return the known costs of a kind; None where it has no line with an amount."""
        found = [line.amount for line in self.lines if line.kind == kind and line.amount is not None]
        return sum(found, ZERO) if found else None

    @property
    def costs(self) -> Decimal:
        return sum((line.amount for line in self.lines if line.amount is not None), ZERO)

    @property
    def profit(self) -> Decimal | None:
        return None if self.income is None else self.income - self.costs

    @property
    def an_hour(self) -> Decimal | None:
        """Return the profit by the hour worked; None without either, and while the work goes on."""
        if self.profit is None or self.is_agreed or not self.minutes:
            return None
        return places(self.profit * MINUTES / self.minutes, 2)

    def rows(self) -> list[dict[str, Any]]:
        """Return quoted, actual and difference by kind of cost, those kinds left out that have neither."""
        found = []
        for kind in KINDS:
            quoted, actual = self.quoted.get(kind), self.actual(kind)
            if quoted is not None or actual is not None:
                more = None if quoted is None or actual is None else actual - quoted
                found.append({"kind": kind, "quoted": quoted, "actual": actual, "difference": more})
        return found


def sheet_view(commission: Commission) -> dict[str, Any]:
    """Return what one commission cost and earned, line by line, for pages and the API."""
    bought = list(commission.costs.all())
    views = cost_views(bought)
    sheet = sheets([commission], costs=bought)[commission.id]
    return {
        "commission": commission.number,
        "currency": sheet.currency,
        "rows": sheet.rows(),
        "lines": [vars(line) for line in sheet.lines],
        "unknown": sheet.unknown,
        "quoted": sum(sheet.quoted.values(), ZERO) if sheet.quoted else None,
        "costs": sheet.costs,
        "income": sheet.income,
        "is_agreed": sheet.is_agreed,
        "profit": sheet.profit,
        "minutes": sheet.minutes,
        "an_hour": sheet.an_hour,
        "bought": views,
    }


def cost_views(costs: list[Cost]) -> list[dict[str, Any]]:
    """Return everything that was typed as bought for a commission, void ones too, in the order bought."""
    texts = Texts(ref for c in costs for ref in (c.what_ref, c.supplier_ref, c.void_ref))
    return [
        {
            "id": c.id, "kind": c.kind, "what": texts[c.what_ref], "supplier": texts[c.supplier_ref],
            "day": c.day, "net": c.net, "tax": c.tax, "currency": c.currency,
            "has_picture": c.picture_ref is not None, "voided_at": c.voided_at,
            "void_reason": texts[c.void_ref],
        }
        for c in costs
    ]  # fmt: skip


def sheets(commissions: Collection[Commission], *, costs: list[Cost] | None = None) -> dict[int, Sheet]:
    """Return the sheet of each commission, in a fixed number of queries; ``costs`` were read before."""
    found = {c.id: Sheet(currency=currency_of(c)) for c in commissions}
    pieces = list(Piece.objects.filter(commission__in=found).order_by("number"))
    work = _work(found)
    _add_boards(found, pieces)
    _add_supplies(found, pieces, work)
    _add_bought(found, list(Cost.objects.filter(commission__in=found)) if costs is None else costs)
    _add_hours(found, work)
    for key, quoted in quoted_costs(list(commissions)).items():
        found[key].quoted = quoted
    _add_income(found, commissions)
    return found


def _add_boards(found: dict[int, Sheet], pieces: list[Piece]) -> None:
    of_piece = {piece.number: piece.commission_id for piece in pieces}
    of_commission: dict[int, list[BoardCost]] = defaultdict(list)
    for board in board_costs(list(of_piece)):
        of_commission[of_piece[board.piece]].append(board)
    for key, boards in of_commission.items():
        sheet = found[key]
        sheet.lines += [_of_board(board, sheet.currency) for board in boards]
        if bare := sum(board.amount is None for board in boards):
            says = ngettext("%(count)s board without a price", "%(count)s boards without a price", bare)
            sheet.unknown.append(says % {"count": bare})
        if other := sum(board.amount is not None and board.currency != sheet.currency for board in boards):
            says = ngettext(
                "%(count)s board priced in another currency", "%(count)s boards priced in another currency",
                other,
            )  # fmt: skip
            sheet.unknown.append(says % {"count": other})


def _of_board(board: BoardCost, currency: str) -> Line:
    what = _("Board %(number)s, %(species)s") % {"number": board.board, "species": board.species}
    why = "" if board.is_used else _("reserved")
    if board.left:
        why = ", ".join(filter(None, (why, _("less %(amount)s for its offcuts") % {"amount": board.left})))
    known = board.amount if board.currency == currency else None
    return Line(kind=LUMBER, what=what, amount=known, why=why)


@dataclass(kw_only=True)
class _Work:
    """What was done: calculations that finished stages name, by piece; minutes by commission and person."""

    done: dict[int, set[str]] = field(default_factory=lambda: defaultdict(set))
    open: set[int] = field(default_factory=set)
    minutes: dict[int, dict[str, int]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(int)))


def _work(keys: Iterable[int]) -> _Work:
    """Read the stages and the redone attempts as columns: this goes through years of work at once."""
    found, specs = _Work(), Parsed()
    stages = Stage.objects.filter(piece__commission__in=keys)
    for commission, piece, step, text, minutes, by in stages.values_list(
        "piece__commission_id", "piece_id", "step", text_of_column("spec"), "minutes", "finished_by"
    ):
        spec = specs[text]
        if step in (Stage.Step.DONE, Stage.Step.WAITING):
            found.done[piece].update(spec["calcs"], _clocked(spec))
        elif step != Stage.Step.SKIPPED:
            found.open.add(piece)
        if minutes and not spec["passive"]:
            found.minutes[commission][by] += minutes
    again = Attempt.objects.filter(stage__piece__commission__in=keys, minutes__gt=0)
    for commission, by, spent in again.values_list("stage__piece__commission_id", "finished_by", "minutes"):
        found.minutes[commission][by] += spent or 0
    return found


def _clocked(spec: Mapping[str, Any]) -> Iterator[str]:
    """Yield the calculation of each product that a stage leaves to harden."""
    for wait in spec["waits"]:
        if wait["clock"]:
            yield OF_CLOCK[wait["clock"].partition(".")[0]]


def _add_supplies(found: dict[int, Sheet], pieces: list[Piece], work: _Work) -> None:
    prices = Prices()
    bare: dict[int, list[str]] = defaultdict(list)
    for piece in pieces:
        sheet = found[piece.commission_id]
        used = supplies_used(
            piece.inputs, piece.computed, work.done[piece.id], prices, all_done=piece.id not in work.open
        )
        for one in used:
            is_known = one.amount is not None and prices.shop["currency"] == sheet.currency
            sheet.lines.append(_of_supply(one, is_known=is_known))
            if not is_known:
                bare[piece.commission_id].append(one.what)
    for key, names in bare.items():
        told = ", ".join(sorted({_(name) for name in names}))
        found[key].unknown.append(_("no price for %(names)s") % {"names": told})


def _of_supply(one: SupplyCost, *, is_known: bool) -> Line:
    amount = {"quantity": f"{places(one.quantity, 2).normalize():f}", "unit": one.unit}
    why = _("%(quantity)s %(unit)s by the figures of the piece") % amount
    if one.is_of_container:
        why = _("%(why)s, at the price of the container") % {"why": why}
    kind = FINISH if one.kind == "finish" else SUPPLIES
    return Line(kind=kind, what=one.what, amount=one.amount if is_known else None, why=why)


def _add_bought(found: dict[int, Sheet], costs: list[Cost]) -> None:
    costs = [cost for cost in costs if cost.voided_at is None]
    texts = Texts(ref for c in costs for ref in (c.what_ref, c.supplier_ref))
    other: dict[int, int] = defaultdict(int)
    for cost in costs:
        sheet = found[cost.commission_id]
        is_known = cost.currency == sheet.currency
        other[cost.commission_id] += not is_known
        sheet.lines.append(
            Line(
                kind=cost.kind, what=texts[cost.what_ref], amount=cost.net if is_known else None,
                why=texts[cost.supplier_ref], cost=cost.id,
            )
        )  # fmt: skip
    for key, count in other.items():
        if count:
            says = ngettext(
                "%(count)s purchase in another currency", "%(count)s purchases in another currency", count
            )
            found[key].unknown.append(says % {"count": count})


def _add_hours(found: dict[int, Sheet], work: _Work) -> None:
    shop = settings()
    owners = set(Person.objects.filter(role=Role.OWNER).values_list("id", flat=True))
    said = {True: _("Hours of the owner"), False: _("Hours of helpers")}
    rates = {True: shop["hour_cost"], False: shop["helper_hour_cost"]}
    for key, by in work.minutes.items():
        sheet = found[key]
        sheet.minutes = sum(by.values())
        for is_owner in (True, False):
            minutes = sum(spent for person, spent in by.items() if (person in owners) is is_owner)
            if not minutes:
                continue
            rate, hours = rates[is_owner], f"{places(minutes / MINUTES, 1):f}"
            if rate is None or shop["currency"] != sheet.currency:
                says = (
                    _("%(hours)s h of the owner without an hourly cost")
                    if is_owner
                    else _("%(hours)s h of helpers without an hourly cost")
                )
                sheet.unknown.append(says % {"hours": hours})
                continue
            amount = places(minutes * Decimal(rate) / MINUTES, 2)
            why = _("%(hours)s h at %(rate)s") % {"hours": hours, "rate": rate}
            sheet.lines.append(Line(kind=HOURS, what=said[is_owner], amount=amount, why=why))


def _add_income(found: dict[int, Sheet], commissions: Collection[Commission]) -> None:
    """Set what is invoiced less credits; before the invoice of the whole, the agreed price."""
    whole: set[int] = set()
    invoiced: dict[int, Decimal] = defaultdict(lambda: ZERO)
    sums = Invoice.objects.filter(paper__commission__in=found, paper__kind__in=Paper.SUMMED)
    for key, kind, what, withdrawn, net in sums.values_list(
        "paper__commission_id", "paper__kind", "paper__what", "paper__withdrawn_at", "net"
    ):
        invoiced[key] += -net if kind == Paper.CREDIT else net
        if kind == Paper.INVOICE and not what and withdrawn is None:
            whole.add(key)
    for commission in commissions:
        sheet = found[commission.id]
        if commission.id in whole or commission.step in Commission.ENDED:
            sheet.income = invoiced[commission.id]
        elif lines := lookups.price_lines(commission):
            sheet.income, sheet.is_agreed = price_of(lines).sums.net, True
