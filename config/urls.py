"""Every address of the site. Each app lists its own pages and API."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/", include("jobs.api.urls")),
]
