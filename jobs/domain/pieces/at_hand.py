"""Boards reserved for a piece: the strips that they give, and whether its strips were laid out from them."""

from dataclasses import replace
from typing import Any

from calcs.lumber.boards import bought_words
from calcs.lumber.lumber import top_lumber
from jobs.domain.pieces.context import SIZES, boards_for, subject_of, tried
from jobs.domain.pieces.extra_inputs import RESERVED_BOARDS
from jobs.models import Piece

CHANGED = (
    "boards were reserved, released or measured again since the strips were laid out: lay them out again"
)


def yield_of(piece: Piece) -> dict[str, Any] | None:
    """Return the strips of its boards, as wide as they are and alike, and what is missing.

    Return None where no board is reserved, or where lumber or layout of the piece cannot be figured.
    """
    inputs = {**piece.inputs, "strips_from": RESERVED_BOARDS}
    if inputs["quantity"] > 1 or any(inputs.get(name) is None for name in SIZES):
        return None
    subject = subject_of(inputs, piece)
    found = tried(lambda: subject.lumber) if subject.boards else None
    if found is None:
        return None
    alike = top_lumber(replace(subject.lumber_asked, random_widths=False))
    return {
        "strips": [{"board": strip.board, "width_len": strip.width_len} for strip in found.hand_strips],
        "together_len": found.width_at_hand_len,
        "wanted_len": inputs["width_len"] + inputs["trim_width_len"],
        "missing_len": found.missing_len,
        "to_buy": bought_words(found.still_to_buy),
        "alike_len": alike.width_at_hand_len,
        "alike_missing_len": alike.missing_len,
        "laid_out": piece.inputs.get("strips_from") == RESERVED_BOARDS,
    }


def boards_changed(piece: Piece) -> bool:
    """Return whether its boards are others than those that its strips were laid out from."""
    kept = piece.computed.get("lumber", {}).get("inputs") or {}
    if not kept.get("random_widths"):
        return False
    names = ("name", "thickness_len", "width_len", "length_len")
    then = {tuple(board[name] for name in names) for board in kept["boards"]}
    now = {tuple(getattr(board, name) for name in names) for board in boards_for(piece.inputs, piece)}
    return then != now
