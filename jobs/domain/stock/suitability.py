"""The fit of a board to a piece: wood and thickness."""

from calcs.kit.units import both_units, inches
from jobs.models import Board, Piece

MORE_THICKNESS = inches("1/2")
"""A board this much thicker than the rough stock does not suit: too much would be planed away."""


def misfit(board: Board, piece: Piece) -> str:
    """Return why a board does not suit a piece: other wood, too thin, far too thick; empty if it suits."""
    species, thickness = piece.inputs.get("species"), piece.inputs.get("thickness_len")
    if species and species != board.species:
        return f"board {board.number} is {board.species}, piece {piece.number} asks for {species}"
    if thickness is None:
        return ""
    figures = piece.computed.get("lumber", {}).get("result") or {}
    least = figures.get("hand_len", thickness)
    most = figures.get("rough_len", thickness) + MORE_THICKNESS
    if least <= board.thickness_len < most:
        return ""
    allowed = f"{both_units(least)} to less than {both_units(most)}"
    thick = both_units(board.thickness_len)
    return f"board {board.number} is {thick} thick, piece {piece.number} takes {allowed}"
