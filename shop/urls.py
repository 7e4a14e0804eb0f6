"""The two doors: the API under its version, pages at the root."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("jobs.api.urls")),
    path("", include("jobs.web.urls")),
]
