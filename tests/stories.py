"""A long story with every kind of event and a row in every state table, made by commands alone.

Only ``forgotten`` is separate.
"""

from contextlib import suppress
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO

from PIL import Image

from jobs.core import blobs
from jobs.core.errors import Expired
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.orders import take_back_acceptance
from jobs.domain.billing.payments import Share, record_payment, record_repayment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.billing.voiding import void_payment
from jobs.domain.books.costs import add_cost, void_cost
from jobs.domain.clients.approvals import approve, ask_approval
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.erasure_commands import end_hold, forget_client
from jobs.domain.clients.updates import ask_shop, client_actor, settle_question, tell_client
from jobs.domain.commissions.commissions import change_commission, move_commission
from jobs.domain.commissions.piece_commands import change_piece, remove_piece
from jobs.domain.notes.commands import dismiss_note, retire_note, write_note
from jobs.domain.notes.pictures import picture_commission, remove_picture, take_picture
from jobs.domain.papers.issuing import record_rendering, withdraw_paper
from jobs.domain.papers.sending import record_failure, record_opening
from jobs.domain.planning.appointments import (
    cancel_appointment,
    change_appointment,
    finish_appointment,
    set_appointment,
)
from jobs.domain.planning.assignments import give_stage
from jobs.domain.planning.pins import pin_stage, unpin_stage
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.accepted import keep_signed_copy
from jobs.domain.quoting.draft_content import Alternative, drop_draft
from jobs.domain.quoting.losses import let_go, take_back_decline
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.domain.quoting.sending import follow_up, send_offer
from jobs.domain.reminders.replies import acknowledge_reminder, ask_again, snooze_reminder
from jobs.domain.routes.approvals import mark_of
from jobs.domain.stages.clamps import add_equipment, change_equipment, retire_equipment
from jobs.domain.stages.commands import do_stage, put_back_stage, reopen_stage, skip_stage
from jobs.domain.stages.left_open import add_measurement
from jobs.domain.stages.pauses import pause_stage, resume_stage, time_stage
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.domain.stages.route_edits import add_stage, set_template
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.domain.stages.wait_commands import correct_start, finish_wait, take_back_end
from jobs.domain.stock.boards import (
    add_board,
    change_board,
    read_moisture,
    release_board,
    reserve_board,
    use_board,
    void_moisture,
    write_off_board,
)
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.supplies import (
    add_supply,
    discard_supply,
    open_supply,
    price_supply,
    refill_supply,
    set_level,
)
from jobs.domain.working_time.commands import cancel_day_off, set_day_off, set_working_hours
from jobs.domain.working_time.promises import cancel_blackout, set_blackout, set_promise_weight
from jobs.domain.workshop.commands import set_shop
from jobs.domain.workshop.logo import remove_logo, set_logo
from jobs.models import (
    Appointment,
    Blackout,
    ClientQuestion,
    Commission,
    DayOff,
    PaperSending,
    Payment,
    Person,
    Picture,
    Piece,
    Reading,
    ReminderDue,
    SafetyTask,
    Wait,
)
from jobs.models.bases import row_key
from tests.kept_work import once
from tests.shop_fixtures import (
    INCHES,
    QUICK,
    TOP,
    Work,
    a_call,
    a_client,
    a_commission,
    a_maker,
    a_piece,
    accept_bare,
    an_owner,
    good,
    issue_checklist,
    measured,
    quick_sheets,
    the_paper,
    voided,
)

PERSONAL = {
    "shop name": "Lindenau Table Works", "shop address": "4 Mill Race, Aldersey", "contact": "555 0199",
    "tax id": "TX-88121", "bank": "account 1029384756", "terms": "Fourteen days, thank you kindly",
    "client": "Orla Fenwick", "new name": "Orla Fenwick-Hale", "email": "orla@fenwick.example",
    "phone": "555 0142", "address": "12 Harbour Steps, Aldersey", "title": "Long table for the loft",
    "new title": "Longer table for the loft", "notes": "ring the lower bell", "label": "Loft table top",
    "new label": "Loft table top, longer", "own stage": "Turn four legs", "price line": "Top in one piece",
    "payment note": "paid in cash at the fair", "override": "client away, photos approved by telephone",
    "shown": "the tightest joint", "blurred": "a thumb is before it",
    "early": "joint tested by hand", "began": "stacked an hour before",
    "remark": "boards from an uncle's barn", "reopen": "a scratch found",
    "withdrawal": "wrong van on it", "credit": "the second coat was free", "repaid": "rounded up at the fair",
    "postcode": "AL4 7QX", "city": "Aldersey-on-Sea", "client tax": "DE811569869",
    "exempt": "certificate 77-B of the county",
    "exempt state": "Upper Aldersey",
    "iban": "DE75512108001245126199", "answers": "Wiebke Lindenau", "shop phone": "555 0188",
    "account": "Lindenau and Daughters", "buyer": "order 77-1 of the loft", "endpoint": "0204:991-03730-19",
    "quote words": "As we walked through by the window", "quote terms": "Held against storm and flood",
    "quote line": "Hall table in one", "other wood": "The hall table in cherry", "signed": "Orla F. Hale",
    "ask again": "May we send you a piece of the cherry?", "lost": "cheaper in the next valley",
    "no change": "keep the corners square", "change": "corners rounded to a plate",
    "cancelled": "house sold to a cousin", "declined": "too dear for us",
    "rags": "drowned in the can behind the shed",
    "skip": "laid out on the old drawing already", "redo": "a joint opened overnight",
    "board": "pith runs out at one end", "written off": "shake along the whole length",
    "bought": "Steel bars with slots", "supplier": "Penrose and Daughters, smiths",
    "supply": "Yellow glue in the blue bucket", "discarded": "lumps after the frost",
    "note": "Wax the cauls, the last panel stuck", "retired note": "the new cauls are coated",
    "clamps": "Grandfather's bar clamps",
    "update": "The top is in clamps since noon", "question": "May the cat sit on it?",
    "settled": "told her on the telephone",
    "wish": "Something long to eat at, with the bark left on", "heard": "her neighbour at the mill",
    "room": "the loft from the stairs", "wrong room": "this is the cellar",
    "taken back": "meant the other Fenwicks", "mistyped": "a nought was missing",
    "met at": "the gate behind the mill", "to bring": "the long level and two blankets",
    "no visit": "the road is under water",
    "holiday": "the fair of the coopers", "client away": "with an aunt by the sea",
    "correction": "thermometer hung by the stove", "added": "Fill knots with dark resin",
}  # fmt: skip
"""Every text in the story that a person typed: none of it may be in the log."""
P = PERSONAL
WEEK: list[list[list[str]]] = [[["08:00", "12:00"], ["13:00", "16:30"]]] * 5 + [[], []]
WEEK_END: list[list[list[str]]] = [[]] * 5 + [[["09:00", "12:00"]], []]
LATER_PIECE = {"route": "free-list", "label": P["label"], "stages": [P["own stage"], "Second own stage"]}
OWN_TEMPLATE = """
key = "shelf"
title = "Shelf"
[[stage]]
key = "make"
title = "Made"
[[stage]]
key = "deliver"
title = "Delivered"
after = ["make"]
marks = "delivered"
"""


def a_long_story() -> Work:
    """Run the whole story; return the person at work, with the clock at its end."""
    now = once("a long story", lambda: _told().now)
    return Work(Person.objects.get(username="owner"), now)


def _told() -> Work:
    work = Work(an_owner(name="Ada Lindenau", email="ada@lindenau.example"))
    the_shop(work)
    client = a_client(work.call(), P["client"], email=P["email"], phone=P["phone"], address=P["address"])
    change_client(
        work.call(),
        client=client.id,
        name=P["new name"],
        postcode=P["postcode"],
        city=P["city"],
        country="DE",
        tax_id=P["client tax"],
        exempt=P["exempt"],
        exempt_state=P["exempt state"],
        exempt_from="2026-01-04",
        exempt_until="2031-12-28",
        buyer_reference=P["buyer"],
        endpoint=P["endpoint"],
    )
    closed(work, client)
    cancelled(work, client)
    declined(work, client)
    quoted(work, client)
    in_clamps(work, client)
    return work


def the_shop(work: Work) -> None:
    set_shop(
        work.call(), settings={"price_per_board_foot": "14.50", "paper_size": "A4", "currency": "EUR"},
        name=P["shop name"], address=P["shop address"], contact=P["contact"], tax_id=P["tax id"],
        payment=P["bank"], terms=P["terms"], iban=P["iban"], bic="SOGEDEFF", person=P["answers"],
        phone=P["shop phone"], account_name=P["account"], endpoint="9930:DE123456789",
    )  # fmt: skip
    logo = BytesIO()
    Image.new("RGB", (80, 20), "navy").save(logo, "PNG")
    set_logo(work.call(), logo=logo.getvalue())
    remove_logo(work.call())
    set_logo(work.call(), logo=logo.getvalue())
    quick_sheets(work.call())
    quick_sheets(work.call())
    the_air(work)


def the_air(work: Work) -> None:
    """Take readings, which are beside the log: of two places, one of them voided."""
    entries = [
        {"at": work.now, "temperature": "64.4", "humidity": "41.5"},
        {"at": work.now, "temperature": "10 C", "place": "wood store"},
    ]
    measured(entries, source=work.by.id, temperature_unit="F", now=work.now)
    bad = Reading.objects.get(place="wood store")
    voided(bad.id, by=work.by.id, now=work.now)


def closed(work: Work, client) -> None:
    """Take a commission from enquiry to closed, with overrides, reminders, a reopened stage and papers."""
    number = a_commission(
        work.call(), client, P["title"], notes=P["notes"], promise_on=date(2026, 6, 1), asks_for=P["wish"],
        budget=Decimal(3000), wanted_on=date(2026, 5, 25), heard=P["heard"],
    ).number  # fmt: skip
    change_commission(
        work.call(), commission=number, title=P["new title"], tell_days=21, budget=Decimal("2800.50")
    )
    oiled = TOP | QUICK | {"finish_face": "quick-oil", "route": "edge-glued-oil"}
    piece = a_piece(work.call(), Commission.objects.get(number=number), **oiled | {"label": P["label"]})
    change_piece(
        work.call(), piece=piece.number, units=INCHES, asked={"label": P["new label"], "length": "72"}
    )
    priced(work, number)
    move_commission(work.call(), commission=number, to="quoted")
    accept_bare(work.call(), commission=number)
    take_back_acceptance(work.call(), commission=number, reason=P["taken back"])
    accept_bare(work.call(), commission=number)
    record_payment(work.call(), commission=number, amount=Decimal(90), what="deposit")
    void_payment(work.call(), payment=Payment.objects.get().id, reason=P["mistyped"])
    record_payment(
        work.call(), commission=number, amount=Decimal(900), what="deposit", note=P["payment note"]
    )
    work.start(piece, "survey")
    put_back_stage(work.call(), piece=piece.number, stage="survey")
    work.start(piece, "survey")
    measured = good(piece, "survey", "finish") | {"sample_approved": "no"}
    work.finish(
        piece, "survey", measured=measured, override={"sample_approved": P["override"]}, remark=P["remark"]
    )
    work.do(piece, "stock")
    answered(work, piece)
    work.do_until(piece, "seal-1")
    rags(work, piece)
    work.do_until(piece, "final-check")
    reopen_stage(work.call(), piece=piece.number, stage="final-check", reason=P["reopen"])
    work.finish(piece, "final-check", measured=good(piece, "final-check", "finish"))
    papers(work, piece)


def answered(work: Work, piece: Piece) -> None:
    """Let two people answer the reminders of a wait, and end it early."""
    wait = Wait.objects.get(stage__piece=piece, kind="settle")
    maker = a_maker(name="Ben Aldersey")
    ready = {"wait": wait.id, "kind": "ready"}
    snooze_reminder(work.call(), **ready, person=work.by.id, until=work.now + timedelta(hours=2))
    acknowledge_reminder(work.call(), **ready, person=maker.id)
    promise = ReminderDue.objects.filter(kind="promise at risk", person=maker.id).values()[0]
    promised = {name: promise[name] for name in ("subject", "occasion", "kind", "person")}
    acknowledge_reminder(work.call(), **promised)
    ask_again(work.call(), **promised)
    acknowledge_reminder(work.call(), **promised)
    correct_start(work.call(), wait=wait.id, since=wait.since, reason=P["began"])
    finish_wait(work.call(), wait=wait.id, reason=P["early"])
    take_back_end(work.call(), wait=wait.id)
    finish_wait(work.call(), wait=wait.id, reason=P["early"])


def rags(work: Work, piece: Piece) -> None:
    """Snooze and settle the safety task of the first coat; those of later coats stay open."""
    task = SafetyTask.objects.get(piece=piece)
    snooze_task(work.call(), task=task.id, person=work.by.id, until=task.closing_at)
    settle_task(work.call(), task=task.id, how=P["rags"])


def papers(work: Work, piece: Piece) -> None:
    number = piece.commission.number
    wrong = the_paper(issue_checklist(work.call(), commission=number))
    withdraw_paper(work.call(), paper=wrong.number, reason=P["withdrawal"])
    work.do(piece, "wrap")
    right = the_paper(issue_checklist(work.call(), commission=number))
    record_rendering(work.call(), paper=right.number, sha256=blobs.store(b"checklist"), size_bytes=9)
    work.do(piece, "deliver")
    wrong = the_paper(issue_invoice(work.call(), commission=number))
    credit_invoice(work.call(), paper=wrong.number, reason=P["credit"])
    invoice = the_paper(issue_invoice(work.call(), commission=number))
    paid = [Share(paper=invoice.number, amount=invoice.invoice.due)]
    over = invoice.invoice.due + 20
    record_payment(work.call(), commission=number, amount=over, allocated=paid, more_than_owed=True)
    issue_receipt(work.call(), payment=Payment.objects.latest("id").id)
    record_repayment(work.call(), commission=number, amount=Decimal(20), reason=P["repaid"])
    issue_statement(work.call(), client=piece.commission.client_id)
    work.do(piece, "paid", "close")


def priced(work: Work, number: str) -> None:
    lines = [
        Line(description=P["price line"], unit_price=Decimal("2450.00"), tax_pct=Decimal(19)),
        Line(description="Delivery", unit_price=Decimal("95.5"), quantity=Decimal("1.5"), unit_code="HUR"),
    ]
    set_price(work.call(), commission=number, lines=lines[:1])
    set_price(work.call(), commission=number, lines=lines)


def cancelled(work: Work, client) -> None:
    """Cancel a commission of two pieces with own lists, one removed after its start was undone."""
    commission = a_commission(work.call(), client, P["title"])
    kept = a_piece(work.call(), commission, **LATER_PIECE)
    gone = a_piece(work.call(), commission, **LATER_PIECE)
    work.start(gone, "survey")
    put_back_stage(work.call(), piece=gone.number, stage="survey")
    remove_piece(work.call(), piece=gone.number)
    change_piece(work.call(), piece=kept.number, units=INCHES, asked={"stages": [P["own stage"], "Third"]})
    move_commission(work.call(), commission=commission.number, to="cancelled", reason=P["cancelled"])


def declined(work: Work, client) -> None:
    commission = a_commission(work.call(), client, P["title"])
    move_commission(work.call(), commission=commission.number, to="declined", reason=P["declined"])


def quoted(work: Work, client) -> None:
    """Let a quote expire, issue its second version and accept that; a change order is not accepted."""
    commission = a_commission(work.call(), client, P["title"])
    piece = a_piece(work.call(), commission, label=P["label"])
    number = commission.number
    other = Alternative(
        piece=piece.number, species="cherry", description=P["other wood"], difference=Decimal(-120)
    )
    line = Line(description=P["quote line"], unit_price=Decimal("1900.00"), tax_pct=Decimal(19))
    draft_quote(
        work.call(), commission=number, lines=[line], alternatives=[other], words=P["quote words"],
        terms=P["quote terms"], valid_days=1,
    )  # fmt: skip
    quote = {"offer": f"{number}-Q1"}
    send_offer(work.call(), **quote)
    record_opening(work.call(), sending=PaperSending.objects.latest("id").id)
    follow_up(work.call(), **quote, words=P["ask again"])
    lost = PaperSending.objects.latest("id").id
    record_failure(work.call(), sending=lost, why="the mail server refused it: 550")
    work.go(days=2)
    with suppress(Expired):
        accept_offer(work.call(), **quote, version=1)
    let_go(work.call(), **quote, because="price", reason=P["lost"])
    take_back_decline(work.call(), commission=number)
    rewrite_offer(work.call(), **quote, valid_days=30, promise_on=work.now.date() + timedelta(days=80))
    issue_offer(work.call(), **quote)
    signed = BytesIO()
    Image.new("RGB", (64, 48), "white").save(signed, "PNG")
    accept_offer(work.call(), **quote, version=2, chosen=[1], name=P["signed"], how="signed")
    keep_signed_copy(work.call(), **quote, version=2, picture=signed.getvalue())
    draft_change_order(work.call(), commission=number, words=P["change"], lines=[line])
    change = {"offer": f"{number}-X1"}
    issue_offer(work.call(), **change)
    decline_offer(work.call(), **change, version=1, reason=P["no change"])
    draft_change_order(work.call(), commission=number, words=P["change"], lines=[line])
    drop_draft(work.call(), offer=f"{number}-X2")


def forgotten(work: Work) -> None:
    """Erase another client, who declined; separate, for tests in which a second client would disturb."""
    client = a_client(work.call(), "Ottilie Quince")
    number = a_commission(work.call(), client, "Shelf by the door").number
    move_commission(work.call(), commission=number, to="declined", reason="too dear")
    forget_client(work.call(), client=client.id, confirm=number)
    end_hold(work.call(), client=client.id)


def noted(work: Work, piece: Piece) -> None:
    """Write a note with a picture, dismiss and retire it; write another that teaches an order."""
    picture = BytesIO()
    Image.new("RGB", (64, 48), "red").save(picture, "PNG")
    done = write_note(
        work.call(), piece=piece.number, stage="glue-up", words=P["note"], only_for=["glue"],
        picture=picture.getvalue(),
    )  # fmt: skip
    note = row_key(done.events[0].seq)
    dismiss_note(work.call(), note=note, piece=piece.number)
    retire_note(work.call(), note=note, reason=P["retired note"])
    rule = {"before": "square-ends", "than": "stiffeners"}
    write_note(work.call(), piece=piece.number, stage="square-ends", words=P["note"], rule=rule)


def in_clamps(work: Work, client) -> None:
    """Leave a piece in clamps, with two waits running and a window open."""
    commission = a_commission(work.call(), client, P["title"])
    piece = a_piece(
        work.call(), commission, stiffeners=True, mark="before finishing", label=P["label"], width="24"
    )
    accept_bare(work.call(), commission=commission.number)
    approved(work, piece)
    mistakes(work, piece)
    stocked(work, piece)
    work.do_until(piece, "dry-fit")
    clamped(work, piece)
    noted(work, piece)
    pictured(work, piece)
    in_touch(work, piece)
    planned_ahead(work, piece)
    correct_measurement(
        work.call(), piece=piece.number, stage="glue-up", gate="shop_temperature", value="23 C", units=INCHES,
        reason=P["correction"],
    )  # fmt: skip


def approved(work: Work, piece: Piece) -> None:
    """Ask the client to approve drawing and sample; the client says yes to the drawing."""
    ask_approval(
        work.call(), commission=piece.commission.number, drawings=[piece.number], samples=[piece.number]
    )
    drawing = piece.commission.approvals.get(what="drawing")
    client = client_actor(piece.commission.client)
    shown = {drawing.id: mark_of(drawing.shown)}
    approve(a_call(client, work.call().at), commission=piece.commission.number, shown=shown, link=7)


def pictured(work: Work, piece: Piece) -> None:
    """Take two pictures of the dry fit and two of the client's room, and remove one of each."""
    for colour in ("tan", "black"):
        at = {"piece": piece.number, "stage": "dry-fit"}
        take_picture(work.call(), **at, picture=a_photo(colour), words=P["shown"])
    remove_picture(work.call(), picture=Picture.objects.last().id, reason=P["blurred"])
    for colour in ("olive", "gray"):
        number = piece.commission.number
        picture_commission(work.call(), commission=number, picture=a_photo(colour), words=P["room"])
    remove_picture(work.call(), picture=Picture.objects.last().id, reason=P["wrong room"])


def a_photo(colour: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return out.getvalue()


def in_touch(work: Work, piece: Piece) -> None:
    """Let the client ask twice, get news with a picture, and be telephoned."""
    number, client = piece.commission.number, client_actor(piece.commission.client)
    for _ in range(2):
        ask_shop(a_call(client, work.call().at), commission=number, words=P["question"])
    first, second = ClientQuestion.objects.all()
    shown = Picture.objects.filter(removed_at=None, commission=number)
    tell_client(
        work.call(), commission=number, words=P["update"], pictures=[p.id for p in shown], answers=[first.id]
    )
    settle_question(work.call(), question=second.id, how=P["settled"])


def planned_ahead(work: Work, piece: Piece) -> None:
    """Give a stage to somebody; set dates outside the shop: one moved, one kept, one cancelled."""
    give_stage(work.call(), piece=piece.number, stage="square-ends", person=work.by.id)
    said = {"day": work.now.date() + timedelta(days=3), "place": P["met at"], "note": P["to bring"]}
    for kind in ("site visit", "wood", "delivery"):
        set_appointment(work.call(), commission=piece.commission.number, kind=kind, **said)
    visit, wood, delivery = Appointment.objects.order_by("id")
    cancel_appointment(work.call(), appointment=visit.id, reason=P["no visit"])
    finish_appointment(work.call(), appointment=wood.id)
    moved = said | {"at": "10:30", "hands": 2, "people": [work.by.id]}
    change_appointment(work.call(), appointment=delivery.id, kind="delivery", **moved)
    free_days(work, piece)
    for first in (False, True):
        pin_stage(work.call(), piece=piece.number, stage="square-ends", day=said["day"], first=first)
    unpin_stage(work.call(), piece=piece.number, stage="square-ends")


def free_days(work: Work, piece: Piece) -> None:
    """Set hours twice, a holiday and a day off, a client's days and how firm the promise is."""
    for back in ("21:00", ""):
        set_working_hours(work.call(), who=work.by.id, week=WEEK, unwanted=WEEK_END, back_until=back)
    first, number = work.now.date() + timedelta(days=30), piece.commission.number
    for who in ("", work.by.id):
        set_day_off(work.call(), who=who, first=first, reason=P["holiday"])
    cancel_day_off(work.call(), day_off=DayOff.objects.get(person="").id)
    for day in (first, first + timedelta(days=9)):
        set_blackout(work.call(), commission=number, first=day, reason=P["client away"])
    cancel_blackout(work.call(), commission=number, blackout=Blackout.objects.order_by("id")[0].id)
    set_promise_weight(work.call(), commission=number, firmness="important")


def stocked(work: Work, piece: Piece) -> None:
    """Add boards and glue, and take each to another end."""
    board = {"species": "walnut", "thickness": "2", "width": "7", "length": "120", "units": INCHES}
    for note in (P["board"], "", ""):
        add_board(work.call(), **board, price="80.50", note=note)
    read_moisture(work.call(), board=1, pct="8.5", depth="1/4", units=INCHES)
    wrong = read_moisture(work.call(), board=1, pct="58", units=INCHES).events[0]
    void_moisture(work.call(), board=1, reading=row_key(wrong.seq))
    reserve_board(work.call(), board=1, piece=piece.number)
    use_board(work.call(), board=1)
    cut_offcut(work.call(), board=1, length="20", units=INCHES)
    reserve_board(work.call(), board=2, piece=piece.number)
    release_board(work.call(), board=2)
    change_board(work.call(), board=2, units=INCHES, width="6 1/2", price="", note=P["board"])
    write_off_board(work.call(), board=3, reason=P["written off"])
    made = add_supply(work.call(), kind="glue", name=P["supply"], sheet="pva", lot="L-17").events[0]
    glue = row_key(made.seq)
    open_supply(work.call(), supply=glue)
    set_level(work.call(), supply=glue, level="low")
    price_supply(work.call(), supply=glue, price="38.50", holds="1", unit="gallon")
    bought = {"commission": piece.commission.number, "what": P["bought"], "supplier": P["supplier"]}
    receipt = BytesIO()
    Image.new("RGB", (8, 8), "white").save(receipt, "PNG")
    add_cost(work.call(), **bought, net=Decimal("84.20"), tax=Decimal("8.42"), picture=receipt.getvalue())
    wrong = add_cost(work.call(), **bought, net=Decimal("842.00")).events[0]
    void_cost(work.call(), cost=row_key(wrong.seq), reason=P["mistyped"])
    refill_supply(work.call(), supply=glue, lot="L-18")
    discard_supply(work.call(), supply=glue, reason=P["discarded"])


def clamped(work: Work, piece: Piece) -> None:
    """Start a glue-up with clamps twice; the clamps are on at the end."""
    made = [
        add_equipment(
            work.call(),
            kind="clamp",
            count=count,
            reach="40",
            units=INCHES,
            name=P["clamps"],
            clamp_kind=clamp_kind,
        ).events[0]
        for count, clamp_kind in ((12, ""), (2, "pipe"))
    ]
    kept, gone = (row_key(event.seq) for event in made)
    change_equipment(work.call(), equipment=kept, count=14, clamp_kind="pipe", units=INCHES)
    retire_equipment(work.call(), equipment=gone)
    work.wait_for(piece, "glue-up")
    taken = {"measured": good(piece, "glue-up", "start"), "clamps": {str(kept): 9}}
    work.start(piece, "glue-up", **taken)
    put_back_stage(work.call(), piece=piece.number, stage="glue-up")
    work.start(piece, "glue-up", **taken)
    work.go(minutes=10)
    measured = good(piece, "glue-up", "finish")
    lot = measured.pop("glue_lot")
    joints = [{"joint": name, "at": work.now - timedelta(minutes=n)} for name, n in (("A-B", 6), ("B-C", 4))]
    glue_on = work.now - timedelta(minutes=8)
    work.finish(piece, "glue-up", measured=measured, glue_on=glue_on, joints=joints)
    add_measurement(
        work.call(), piece=piece.number, stage="glue-up", gate="glue_lot", value=lot, units=INCHES
    )


def mistakes(work: Work, piece: Piece) -> None:
    """Pause a stage, skip one, redo a joint, and edit the route by hand."""
    number = piece.number
    set_template(work.call(), text=OWN_TEMPLATE)
    work.do_until(piece, "final-mill")
    work.start(piece, "rip")
    work.go(minutes=20)
    pause_stage(work.call(), piece=number, stage="rip")
    resume_stage(work.call(), piece=number, stage="rip")
    work.finish(piece, "rip")
    time_stage(work.call(), piece=number, stage="rip", minutes=25)
    skip_stage(work.call(), piece=number, stage="layout", reason=P["skip"])
    do_stage(work.call(), piece=number, stage="joinery", units=INCHES)
    work.do(piece, "dry-fit")
    redo_stage(work.call(), piece=number, stage="joinery", reason=P["redo"], joints_ripped=1)
    add_stage(work.call(), piece=number, title=P["added"], after=["final-flatten"], before=["square-ends"])
