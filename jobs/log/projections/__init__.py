"""Events folded into state tables: the only writers of state.

Each function takes an event and nothing else. It reads no clock, setting, reading or calculation: what it
needs is in the event or in state that earlier events made.
"""

from collections.abc import Callable

from jobs.core.errors import LogBroken
from jobs.log.projections import (
    boards,
    clients,
    commissions,
    equipment,
    notes,
    offers,
    papers,
    pictures,
    pieces,
    reminders,
    rows,
    safety,
    shop,
    stages,
    supplies,
    updates,
)
from jobs.models import Event, Piece

PROJECTIONS: dict[str, Callable[[Event], None]] = {
    "client_added": clients.added,
    "client_changed": clients.changed,
    "client_forgotten": clients.forgotten,
    "client_hold_ended": clients.forgotten,
    "commission_opened": commissions.opened,
    "commission_changed": commissions.changed,
    "commission_moved": commissions.moved,
    "acceptance_taken_back": commissions.acceptance_taken_back,
    "price_set": commissions.price_set,
    "piece_added": pieces.added,
    "piece_changed": pieces.changed,
    "piece_removed": pieces.removed,
    "stage_started": stages.started,
    "stage_finished": stages.finished,
    "stage_paused": stages.paused,
    "stage_resumed": stages.resumed,
    "stage_skipped": stages.skipped,
    "stage_redone": stages.redone,
    "measurement_corrected": stages.corrected,
    "measurement_added": stages.measured_later,
    "route_changed": pieces.route_changed,
    "template_set": shop.template_set,
    "wait_changed": stages.wait_changed,
    "stage_put_back": stages.put_back,
    "stage_reopened": stages.reopened,
    "wait_started": stages.wait_started,
    "wait_start_corrected": stages.wait_start_corrected,
    "wait_finished": stages.wait_finished,
    "reminder_acknowledged": reminders.replied,
    "reminder_snoozed": reminders.replied,
    "task_opened": safety.opened,
    "task_moved": safety.moved,
    "task_settled": safety.settled,
    "task_snoozed": safety.snoozed,
    "shop_set": shop.shop_set,
    "sheet_set": shop.sheet_set,
    "picture_taken": pictures.taken,
    "picture_removed": pictures.removed,
    "offer_drafted": offers.drafted,
    "offer_dropped": offers.dropped,
    "offer_issued": offers.issued,
    "offer_accepted": offers.accepted,
    "offer_declined": offers.declined,
    "offer_expired": offers.expired,
    "paper_issued": papers.issued,
    "paper_rendered": papers.rendered,
    "paper_withdrawn": papers.withdrawn,
    "payment_received": papers.payment_received,
    "payment_voided": papers.payment_voided,
    "note_written": notes.written,
    "note_dismissed": notes.dismissed,
    "note_retired": notes.retired,
    "board_added": boards.added,
    "board_changed": boards.changed,
    "board_cut": boards.cut,
    "board_moisture_read": boards.moisture_read,
    "board_moisture_voided": boards.moisture_voided,
    "board_reserved": boards.reserved,
    "board_released": boards.released,
    "board_used": boards.used,
    "board_written_off": boards.written_off,
    "supply_added": supplies.added,
    "supply_opened": supplies.opened,
    "supply_level_set": supplies.level_set,
    "supply_refilled": supplies.refilled,
    "supply_discarded": supplies.discarded,
    "equipment_added": equipment.added,
    "equipment_changed": equipment.changed,
    "equipment_retired": equipment.retired,
    "equipment_taken": equipment.taken,
    "equipment_freed": equipment.freed,
    "client_told": updates.told,
    "client_asked": updates.asked,
    "question_settled": updates.settled,
}


ROUTES_HELD = {
    "stage_started", "stage_finished", "stage_paused", "stage_resumed", "stage_skipped", "stage_put_back",
    "stage_reopened", "measurement_corrected", "measurement_added", "wait_started", "wait_changed",
    "wait_start_corrected", "wait_finished", "commission_moved", "acceptance_taken_back", "task_opened",
    "task_moved", "equipment_taken", "equipment_freed", "paper_issued", "offer_accepted",
    "commission_changed", "price_set", "payment_received", "payment_voided", "paper_rendered",
}  # fmt: skip
"""Events that change the routes in hand themselves, or nothing of them; after others they are read again."""


def project(event: Event) -> None:
    """Bring the state tables forward by one event; ``Versions`` follow."""
    if event.kind not in PROJECTIONS:
        raise LogBroken(f"event {event.seq} is of a kind that is not known here: {event.kind}")
    if event.kind not in ROUTES_HELD:
        rows.release(event)
    PROJECTIONS[event.kind](event)


class Versions:
    """The newest event of each commission and piece: noted event by event, written once for many."""

    def __init__(self) -> None:
        self._commissions: dict[str, int] = {}
        self._pieces: dict[str, int] = {}

    def note(self, event: Event) -> None:
        noun, _, name = event.stream.partition(":")
        if noun != "commission":
            return
        self._commissions[name] = event.seq
        if piece := event.data.get("piece"):
            self._pieces[piece] = event.seq
            if known := rows.held(piece):
                known.piece.version = event.seq

    def write(self) -> None:
        """Write what was noted, and begin again with nothing."""
        for number, seq in self._commissions.items():
            rows.change_commission(number, version=seq)
        rows.write_commissions()
        for number, seq in self._pieces.items():
            Piece.objects.filter(number=number).update(version=seq)
        self._commissions, self._pieces = {}, {}
