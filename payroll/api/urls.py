"""Addresses of the API of pay; each name stands in the permission table."""

from __future__ import annotations

from django.urls import path

from payroll.api import views

urlpatterns = [
    path("statements/", views.Statements.as_view(), name="api-statements"),
    path("statements/<int:statement>/", views.OneStatement.as_view(), name="api-statement"),
    path("weeks/", views.Weeks.as_view(), name="api-weeks"),
    path("weeks/<int:pay_week>/preview/", views.WeekPreviewed.as_view(), name="api-week-preview"),
    path("weeks/<int:pay_week>/close/", views.WeekClosed.as_view(), name="api-week-close"),
]
