"""Addresses of the field API; each name stands in the permission table."""

from __future__ import annotations

from django.urls import path, re_path
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerView

from jobs.api import device_views, field_views, photo_views, read_views, sync_views

urlpatterns = [
    path("entries/", field_views.Entries.as_view(), name="api-entries"),
    path("entries/batch/", field_views.EntryBatch.as_view(), name="api-entry-batch"),
    path("entries/<uuid:uuid>/photos/", photo_views.EntryPhotos.as_view(), name="api-entry-photos"),
    path("photos/<uuid:photo>/", photo_views.Photo.as_view(), name="api-photo"),
    path("hours/", field_views.HoursOfPeople.as_view(), name="api-hours"),
    path("inspections/", field_views.Inspections.as_view(), name="api-inspections"),
    path("words/", field_views.Words.as_view(), name="api-words"),
    path("sync/", sync_views.Sync.as_view(), name="api-sync"),
    path("changes/", sync_views.Changes.as_view(), name="api-changes"),
    path("jobs/", read_views.Jobs.as_view(), name="api-jobs"),
    path("jobs/<int:job>/walls/", read_views.JobWalls.as_view(), name="api-job-walls"),
    path("jobs/<int:job>/work-units/", read_views.JobWorkUnits.as_view(), name="api-job-work-units"),
    path("people/", read_views.People.as_view(), name="api-people"),
    path("crews/", read_views.Crews.as_view(), name="api-crews"),
    path("devices/", device_views.Devices.as_view(), name="api-devices"),
    path("devices/<int:device>/rename/", device_views.DeviceRenamed.as_view(), name="api-device-rename"),
    path("devices/<int:device>/revoke/", device_views.DeviceRevoked.as_view(), name="api-device-revoke"),
    path("problems/<slug:kind>/", read_views.ProblemKind.as_view(), name="api-problem"),
    path("schema/", SpectacularAPIView.as_view(authentication_classes=(), permission_classes=()), name="api-schema"),
    path(
        "guide/",
        SpectacularSwaggerView.as_view(url_name="api-schema", authentication_classes=(), permission_classes=()),
        name="api-guide",
    ),
    re_path(r"^(?P<rest>.*)$", read_views.Nothing.as_view(), name="api-nothing"),
]
