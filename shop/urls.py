"""The two entrances: the API under its version, pages at the root."""

from django.urls import include, path, re_path

from jobs.api.service.about import UnknownView

urlpatterns = [
    path("api/v1/", include("jobs.api.urls")),
    re_path("^api/", UnknownView.as_view()),
    path("", include("jobs.web.urls")),
]
