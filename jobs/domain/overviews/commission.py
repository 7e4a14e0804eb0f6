"""Views of commissions and clients."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.utils import timezone

from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, summary_of
from jobs.domain.billing.deposits import deposit_asked, deposit_of
from jobs.domain.billing.prices import line_views, price_of
from jobs.domain.lifecycle import BY_HAND, MOVES
from jobs.domain.overviews.office import office_steps, office_steps_of, office_views
from jobs.domain.overviews.papers import paper_view
from jobs.domain.overviews.piece import piece_view
from jobs.domain.overviews.ready_date import ready_date
from jobs.domain.pieces.wood import thumb_of
from jobs.domain.quoting.next_step import state_of_quote, with_sending
from jobs.domain.settings import settings
from jobs.domain.waits.cut_short import cut_short
from jobs.domain.waits.queries import read_routes, standing, what_to_do
from jobs.domain.waits.route import awaits_quote, is_once, times_of
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.working_time import FIRMNESS
from jobs.models import Client, Commission, Offer, Paper, Payment, Piece, PriceLine, Stage, Wait

FINISHED = (Stage.Step.DONE, Stage.Step.SKIPPED)


def client_views(clients: Sequence[Client]) -> list[dict[str, Any]]:
    texts = Texts(refs_of(clients))
    return [client_view(c, texts) for c in clients]


def client_view(client: Client, texts: Texts) -> dict[str, Any]:
    return {
        "id": client.id,
        "name": texts[client.name_ref],
        "email": texts[client.email_ref],
        "phone": texts[client.phone_ref],
        "address": texts[client.address_ref],
        "postcode": texts[client.postcode_ref],
        "city": texts[client.city_ref],
        "country": texts[client.country_ref],
        "tax_id": texts[client.tax_id_ref],
        "exempt": texts[client.exempt_ref],
        "exempt_state": texts[client.exempt_state_ref],
        "exempt_from": texts[client.exempt_from_ref],
        "exempt_until": texts[client.exempt_until_ref],
        "endpoint": texts[client.endpoint_ref],
        "buyer_reference": texts[client.buyer_reference_ref],
        "added_at": client.added_at,
        "version": client.version,
    }


def commission_rows(
    commissions: list[Commission], *, now: datetime, with_office: bool = False
) -> list[dict[str, Any]]:
    """Return a row for each commission: progress, what is next at the bench and in the office, its wood.

    ``waiting`` is the running wait that ends first. ``expected_on`` is the soonest day that drying and
    resting allow, where that is after the promised day.
    """
    office = office_steps(commissions, now=now) if with_office else {}
    pieces = list(Piece.objects.filter(commission__in=commissions).order_by("number"))
    by_id = {c.id: c for c in commissions}
    for piece in pieces:
        piece.commission = by_id[piece.commission_id]
    read = read_routes(pieces, more_rows=[*commissions, *(c.client for c in commissions)])
    rows = []
    for commission in commissions:
        routes = [r for r in read.routes if r.piece.commission_id == commission.id]
        stages = [(r, s) for r in routes for s in r.stages]
        ready = [s for r, s in stages if standing(r, s, now) == "ready"]
        begun = [s for _, s in stages if s.step == Stage.Step.UNDER_WAY and not s.spec["passive"]]
        hands = begun if awaits_quote(commission.step) else [*begun, *ready]
        told = {s.key if is_once(s) else s.id: what_to_do(s, read.texts) for s in hands}
        ready_on = ready_date(commission, replace(read, routes=routes), now=now, early=[])
        to_do = [step.do for step in office.get(commission.id, [])]
        rows.append(
            {
                **_head(commission, read.texts),
                "pieces": len(routes),
                "stages": len(stages),
                "stages_done": sum(s.step in FINISHED for _, s in stages),
                "next": [*to_do, *told.values()][:3],
                "waiting": _first_wait([w for r in routes for w in r.waits]),
                "expected_on": ready_on.soonest if ready_on.late else None,
                "piece": routes[0].piece.number if routes else "",
                "wood": thumb_of(routes[0].piece) if routes else None,
            }
        )
    return rows


def _first_wait(waits: list[Wait]) -> str:
    """Return the title of the wait that ends first; empty where none runs."""
    ends = [(times_of(wait)[0], wait) for wait in waits]
    first = min(ends, key=lambda each: (each[0] is None, each[0] or each[1].since), default=None)
    return first[1].title if first else ""


def _head(commission: Commission, texts: Texts) -> dict[str, Any]:
    return {
        "number": commission.number,
        "title": texts[commission.title_ref],
        "step": commission.step,
        "step_at": commission.step_at,
        "wanted_on": commission.wanted_on,
        "promise_on": commission.promise_on,
        "firmness": FIRMNESS[commission.promise_weight],
        "tell_days": commission.tell_days,
        "opened_at": commission.opened_at,
        "client": {"id": commission.client_id, "name": texts[commission.client.name_ref]},
        "version": commission.version,
    }


def commission_view(
    commission: Commission,
    *,
    now: datetime,
    with_money: bool,
    units: Units | None = None,
    with_ready: bool = True,
) -> dict[str, Any]:
    """Return one commission with its pieces, routes, papers, ready date and, for the owner, its money."""
    pieces = list(commission.pieces.order_by("number"))
    for piece in pieces:
        piece.commission = commission
    if with_money:
        offers = with_sending(Offer.objects.select_related("paper"))
        prefetch_related_objects([commission], Prefetch("offers", offers))
    lines = lookups.price_lines(commission) if with_money else []
    payments = list(commission.payments.order_by("received_on", "id")) if with_money else []
    read = read_routes(pieces, more_rows=[commission, commission.client, *lines, *payments])
    kept = commission.papers.select_related("invoice").prefetch_related("sendings")
    kept = kept.order_by("issued_at", "id")
    papers = list(kept if with_money else kept.exclude(kind__in=Paper.MONEY))
    view = {
        **_told(commission, read.texts, with_money=with_money),
        "pieces": [
            piece_view(r, read.texts, now=now, units=units, with_money=with_money) for r in read.routes
        ],
        "office": [],
        "quote": None,
    }
    held, today = _held(papers, payments), timezone.localtime(now).date()
    if with_ready:
        view["ready"] = ready_date(commission, read, now=now, early=cut_short(commission)).view()
    of_paper = {one.paper_id: one for one in commission.offers.all()} if with_money else {}
    view["papers"] = [
        paper_view(p, with_money=with_money, held=held, offer=of_paper.get(p.id), today=today) for p in papers
    ]
    if with_money:
        view["money"] = _money(commission, lines, payments, read.texts, held, today)
        steps = office_steps_of(commission, held=held, has_piece=bool(pieces), now=now)
        view["office"] = office_views(steps)
        view["quote"] = state_of_quote(commission.offers.all(), timezone.localtime(now).date())
    return view


def commission_brief(commission: Commission, *, with_money: bool) -> dict[str, Any]:
    """Return one commission with the names of its pieces, without their routes, papers and money."""
    pieces = list(commission.pieces.order_by("number"))
    texts = Texts(refs_of([commission, commission.client, *pieces]))
    return {
        **_told(commission, texts, with_money=with_money),
        "pieces": [
            {"number": p.number, "label": texts[p.label_ref], "quantity": p.quantity, "wood": thumb_of(p)}
            for p in pieces
        ],
    }


def _told(commission: Commission, texts: Texts, *, with_money: bool) -> dict[str, Any]:
    """Return the words and days of a commission itself: who asked for what, and its step."""
    return {
        **_head(commission, texts),
        "notes": texts[commission.notes_ref],
        "asks_for": texts[commission.asks_for_ref],
        "budget": commission.budget if with_money else None,
        "budget_currency": commission.budget_currency if with_money else "",
        "heard": texts[commission.heard_ref],
        "reason": texts[commission.step_reason_ref],
        "moves": [m for m in MOVES.get(commission.step, ()) if m in BY_HAND],
        "client": client_view(commission.client, texts),
    }


def _held(papers: list[Paper], payments: list[Payment]) -> Account:
    """Return the account of a commission from its papers and payments."""
    documents = [p.invoice for p in papers if p.kind in Paper.SUMMED]
    return Account(documents=documents, payments=[p for p in payments if p.voided_at is None])


def _money(
    commission: Commission,
    lines: list[PriceLine],
    payments: list[Payment],
    texts: Texts,
    held: Account,
    today: date,
) -> dict[str, Any]:
    pays = dict(zip((p.id for p in held.payments), held.allocation.shares, strict=True))
    shop, price = settings(), price_of(lines) if lines else None
    return {
        "currency": _currency(commission, held.payments, shop),
        "price": {
            "lines": line_views(lines, price, texts) if price else [],
            "net": price.sums.net if price else None,
            "tax": price.sums.tax if price else None,
            "total": price.sums.gross if price else None,
        },
        "deposit_asked": deposit_of(price.sums, deposit_asked(commission)) if price else None,
        "deposit_invoiced": [
            {"paper": one.paper.number, "amount": held.asked(one)}
            for one in held.invoices
            if one.paper.what == Paper.DEPOSIT
        ],
        "payments": [
            {
                "id": p.id,
                "amount": p.amount,
                "currency": p.currency,
                "received_on": p.received_on,
                "what": p.what,
                "method": p.method,
                "note": texts[p.note_ref],
                "pays": [{"paper": n, "amount": a} for n, a in pays.get(p.id, ())],
                "voided_at": p.voided_at,
                "voided_by": p.voided_by,
                "void_reason": texts[p.void_ref],
            }
            for p in payments
        ],
        "summary": vars(summary_of(commission, today=today, held=held, offers=commission.offers.all())),
        "free": held.free,
    }


def _currency(commission: Commission, payments: list[Payment], shop: dict[str, Any]) -> str:
    """Return the currency as `letterhead.currency_of` does, from rows read before."""
    first = min(payments, key=lambda payment: payment.id, default=None)
    return commission.price_currency or (first.currency if first else str(shop["currency"]))
