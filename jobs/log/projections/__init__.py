"""Projections: they write the state tables from events. Each kind of event is a class, in a module by noun.

Nothing else writes those tables.
"""

from importlib import import_module
from pkgutil import iter_modules

from jobs.log.projections import rows
from jobs.log.projections.kinds import KINDS, payload_of
from jobs.models import Event, Piece

for module in iter_modules(__path__):
    import_module(f"{__name__}.{module.name}")


def project(event: Event) -> None:
    """Project one event into the state tables; ``Versions`` follow."""
    payload = payload_of(event)
    if not KINDS[event.kind].keeps_routes:
        rows.release(event)
    payload.project(event)


class Versions:
    """The newest event of each commission and piece: noted per event, written once for many."""

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
            rows.note_version(piece, event.seq)

    def write(self) -> None:
        """Write the noted versions and start again with none."""
        for number, seq in self._commissions.items():
            rows.change_commission(number, version=seq)
        rows.write_commissions()
        for number, seq in self._pieces.items():
            Piece.objects.filter(number=number).update(version=seq)
        self._commissions, self._pieces = {}, {}
