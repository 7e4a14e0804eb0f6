"""The shop's habits: inputs of its newest top."""

from typing import Any

from jobs.models import Piece

LOOKED_BACK = 20
"""Number of newest pieces to search."""
HABITS = ("route", "species", "finish_face", "glue", "cut", "edge_profile", "joinery")


def habits() -> dict[str, Any]:
    """Return route, species, products and shape of the newest piece with a size; empty in a new shop."""
    for inputs in Piece.objects.order_by("-id").values_list("inputs", flat=True)[:LOOKED_BACK]:
        if inputs.get("length_len") is not None:
            return {name: inputs[name] for name in HABITS if inputs.get(name)}
    return {}
