"""Equipment."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.stages.equipment_serializers import (
    EquipmentChangeIn,
    EquipmentDone,
    EquipmentIn,
    EquipmentOut,
    RetireIn,
)
from jobs.domain import lookups
from jobs.domain.stages.clamps import add_equipment, change_equipment, retire_equipment
from jobs.domain.stages.equipment_queries import equipment_views
from jobs.models import Equipment


def _show(view: View, key: int) -> Any:
    return present(equipment_views([lookups.equipment(key)]))[0]


EQUIPMENT = Resource(
    name="equipment", done=EquipmentDone, show=_show, address="equipment-one", key_of=row_made
)


class EquipmentsView(View):
    """Clamps and places."""

    permission_classes = (Worker,)

    @extend_schema(operation_id="equipment_all_get", responses=EquipmentOut(many=True))
    def get(self, request: Request) -> Response:
        """Everything in use: how much is free, and what holds the rest now."""
        return Response(present(equipment_views(Equipment.objects.filter(retired_at=None))))

    post = EQUIPMENT.makes(add_equipment, EquipmentIn, "Add clamps of one reach, or places.")


class EquipmentView(View):
    """Clamps of one reach, or places of one kind."""

    permission_classes = (Worker,)

    @extend_schema(responses=EquipmentOut)
    def get(self, request: Request, equipment: int) -> Response:
        """The number that is free, and the stages that hold the rest now."""
        return Response(_show(self, equipment))

    patch = EQUIPMENT.changes(
        change_equipment, EquipmentChangeIn, "Change how many there are, their reach or what they are called."
    )


RETIRE = EQUIPMENT.changes(retire_equipment, RetireIn, "Take equipment out of use for good.")
ROUTES = [
    view_route("equipment/", "equipment", EquipmentsView),
    view_route("equipment/<key:equipment>/", "equipment-one", EquipmentView),
    route("equipment/<key:equipment>/retire/", "equipment-retire", Worker, post=RETIRE),
]
