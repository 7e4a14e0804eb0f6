"""What a client approves of a piece: facts of its drawing and its sample; the gates that a yes opens."""

import hashlib
from collections.abc import Iterable
from typing import Any

from jobs.core.canonical_json import dumps
from jobs.models import Approval, Piece, Stage

What = Approval.What
GATES: dict[str, str] = {"drawing_approved": What.DRAWING, "sample_approved": What.SAMPLE}
"""By the gate of a stage: what has to be approved. ``jobs/domain/routes`` names the gates."""
FACTS: dict[str, tuple[str, ...]] = {
    What.DRAWING: ("length_len", "width_len", "thickness_len", "edge_profile", "end_width_len", "quantity"),
    What.SAMPLE: ("species", "finish_face", "finish_under"),
}
"""Inputs that a yes is about. The widths of strips follow the boards, so they are not among them."""


def facts_of(piece: Piece, what: str) -> dict[str, Any]:
    """Return the facts that a client is shown and says yes to."""
    return {name: piece.inputs.get(name) for name in FACTS[what]}


def mark_of(shown: dict[str, Any]) -> str:
    """Return a mark of the facts that were shown, for a form to carry."""
    return hashlib.sha256(dumps(shown).encode()).hexdigest()


def gates_of(stages: Iterable[Stage]) -> list[str]:
    """Return what the gates of stages that are not done want to have approved."""
    to_do = (Stage.Step.PLANNED, Stage.Step.UNDER_WAY)
    gates = {gate["key"] for stage in stages if stage.step in to_do for gate in stage.spec["gates"]}
    return [what for gate, what in GATES.items() if gate in gates]


def asked_of(piece: Piece, stages: Iterable[Stage]) -> list[str]:
    """Return what stages of a piece that are not done want to have approved, and can be shown."""
    wanted = gates_of(stages)
    return [what for what in wanted if any(facts_of(piece, what)[name] for name in FACTS[what][:2])]


def is_current(approval: Approval, piece: Piece) -> bool:
    """Return whether the piece still is as it was shown."""
    return bool(approval.shown == facts_of(piece, approval.what))


def approved_gates(stage: Stage) -> dict[str, Approval]:
    """Return the gates of a stage that the client's yes opens; a piece that changed since needs another."""
    gates = {GATES[gate["key"]]: gate["key"] for gate in stage.spec["gates"] if gate["key"] in GATES}
    if not gates:
        return {}
    found = Approval.objects.filter(piece=stage.piece.number, what__in=gates).exclude(approved_at=None)
    return {gates[one.what]: one for one in found if is_current(one, stage.piece)}
