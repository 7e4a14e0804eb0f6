"""Events of what lies in the shop: boards, supplies, clamps and places."""

from jobs.log.projections.stock import boards, equipment, supplies

__all__ = ["boards", "equipment", "supplies"]
