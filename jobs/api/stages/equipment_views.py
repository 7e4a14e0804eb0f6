"""Equipment."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import PieceDone
from jobs.api.pieces.views import undone
from jobs.api.stages.equipment_serializers import (
    EquipmentChangeIn,
    EquipmentDone,
    EquipmentIn,
    EquipmentOut,
    FreeClampsIn,
    RetireIn,
)
from jobs.domain import lookups
from jobs.domain.stages.clamps import add_equipment, change_equipment, free_clamps, retire_equipment
from jobs.domain.stages.equipment_queries import equipment_views
from jobs.models import Equipment
from jobs.models.bases import row_key


class EquipmentsView(View):
    """Clamps and places."""

    permission_classes = (Worker,)

    @extend_schema(operation_id="equipment_all_get", responses=EquipmentOut(many=True))
    def get(self, request: Request) -> Response:
        """Everything in use: how much is free, and what holds the rest now."""
        return Response(present(equipment_views(Equipment.objects.filter(retired_at=None))))

    @extend_schema(request=EquipmentIn, responses={200: EquipmentDone, 201: EquipmentDone})
    def post(self, request: Request) -> Response:
        """Add clamps of one reach, or places."""
        asked = self.body(EquipmentIn)
        call, units = self.call(asked), self.units(asked)
        done = add_equipment(call, units=units, **asked)
        key = row_key(done.events[0].seq)
        return self.done(done, "equipment", lambda: shown(key), location=f"{request.path}{key}/")


class EquipmentView(View):
    """Clamps of one reach, or places of one kind."""

    permission_classes = (Worker,)

    @extend_schema(responses=EquipmentOut)
    def get(self, request: Request, equipment: int) -> Response:
        """How much is free, and what holds the rest now."""
        return Response(shown(equipment))

    @extend_schema(request=EquipmentChangeIn, responses=EquipmentDone)
    def patch(self, request: Request, equipment: int) -> Response:
        """Change how many there are, their reach or what they are called."""
        asked = self.body(EquipmentChangeIn)
        call, units = self.call(asked), self.units(asked)
        done = change_equipment(call, equipment=equipment, units=units, **asked)
        return self.done(done, "equipment", lambda: shown(equipment))


class RetireView(View):
    """Equipment out of use."""

    permission_classes = (Worker,)

    @extend_schema(request=RetireIn, responses=EquipmentDone)
    def post(self, request: Request, equipment: int) -> Response:
        """Take equipment out of use for good."""
        done = retire_equipment(self.call(self.body(RetireIn)), equipment=equipment)
        return self.done(done, "equipment", lambda: shown(equipment))


class FreeClampsView(View):
    """Clamps off by hand."""

    permission_classes = (Worker,)

    @extend_schema(request=FreeClampsIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Say that the clamps of a stage are off, before or without its clamps-off stage."""
        return undone(self, FreeClampsIn, free_clamps, piece, stage)


def shown(key: int) -> Any:
    return present(equipment_views([lookups.equipment(key)]))[0]
