"""Every address of the site. Each app lists its own pages and API."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/", include("payroll.api.urls")),
    path("api/", include("jobs.api.urls")),
    path("", include("jobs.pages.urls")),
    path("", include("payroll.pages.urls")),
]

handler400 = "jobs.pages.errors.bad_request"
handler403 = "jobs.pages.errors.forbidden"
handler404 = "jobs.pages.errors.not_found"
handler500 = "jobs.pages.errors.broken"
