"""Permissions; every view names one of them."""

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from jobs.api.kit.auth import Sensor
from jobs.models import Person


class Anyone(BasePermission):
    """No sign-in: nothing of the shop is shown."""


class Worker(BasePermission):
    """Somebody who works here, owner or maker."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.user, Person) and request.user.is_active


class SensorHandsIn(Worker):
    """Whoever works here; a sensor hands in, and reads nothing."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        sensor = request.method == "POST" and isinstance(request.user, Sensor)
        return sensor or super().has_permission(request, view)


class Owner(Worker):
    """The owner: money, people, the shop's settings and the log."""

    message = "this is for the owner"

    def has_permission(self, request: Request, view: APIView) -> bool:
        return super().has_permission(request, view) and request.user.is_owner


class OwnerChanges(Owner):
    """Everybody who works here reads, the owner changes."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        if request.method in SAFE_METHODS:
            return Worker().has_permission(request, view)
        return super().has_permission(request, view)
