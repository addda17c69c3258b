"""Addresses of the pages of pay, each in `jobs.permissions` by its name. `day` is a converter of `jobs.pages.urls`."""

from __future__ import annotations

from django.urls import path

from jobs.pages import urls as _converters  # noqa: F401 - registers `day`
from payroll.pages import (
    certified,
    checks,
    exports,
    forecast,
    law,
    office_records,
    papers,
    pay_days,
    prices,
    reports,
    statements,
    trials,
    weeks,
)

urlpatterns = [
    path("weeks/", weeks.weeks, name="weeks"),
    path("weeks/<day:first_day>/", weeks.week, name="week"),
    path("weeks/<day:first_day>/close/", weeks.week_close, name="week-close"),
    path("weeks/<day:first_day>/payroll/<str:kind>/", exports.payroll_file, name="payroll-file"),
    path("records/", exports.person_record_page, name="person-record"),
    path("statements/", statements.statements, name="statements"),
    path("statements/<int:statement>/", statements.statement, name="statement"),
    path("statements/<int:statement>.pdf", statements.statement_paper, name="statement-pdf"),
    path("statements/<int:statement>.csv", statements.statement_table, name="statement-csv"),
    path("check/<str:digest>/", checks.statement_check, name="statement-check"),
    path("weeks/<day:first_day>.csv", papers.week_lines, name="week-csv"),
    path("weeks/<day:first_day>/papers/", papers.week_papers, name="week-papers"),
    path("weeks/<day:first_day>/papers.zip", papers.week_papers_file, name="week-papers-file"),
    path("jobs/<int:job>/labour/", forecast.labour, name="labour"),
    path("jobs/<int:job>/reports/", reports.reports, name="reports"),
    path("jobs/<int:job>/reports/<day:first_day>/", reports.report, name="report"),
    path("jobs/<int:job>/reports/<day:first_day>.pdf", reports.report_paper, name="report-pdf"),
    path("jobs/<int:job>/reports/<day:first_day>.svg", reports.report_chart, name="report-chart"),
    path("jobs/<int:job>/prevailing/", certified.prevailing, name="prevailing"),
    path("jobs/<int:job>/prevailing/set/", certified.prevailing_set, name="prevailing-set"),
    path("jobs/<int:job>/certified/<day:first_day>/", certified.certified, name="certified"),
    path("jobs/<int:job>/certified/<day:first_day>.pdf", certified.certified_paper, name="certified-pdf"),
    path("jobs/<int:job>/certified/<day:first_day>.csv", certified.certified_list, name="certified-csv"),
    path("agreements/", office_records.agreements, name="agreements"),
    path("local-minimums/", office_records.local_minimums, name="local-minimums"),
    path("missed-breaks/", office_records.missed_breaks, name="missed-breaks"),
    path("pay-periods/", pay_days.pay_periods, name="pay-periods"),
    path("final-pay/", pay_days.final_pay, name="final-pay"),
    path("prices/", prices.prices, name="prices"),
    path("prices/set/", prices.price_set_page, name="price-set"),
    path("prices/list/", prices.price_list_set, name="price-list"),
    path("prices/list.csv", prices.price_list_file, name="price-list-csv"),
    path("prices/heights/", prices.height_bands, name="height-bands"),
    path("prices/what-if/", trials.what_if, name="what-if"),
    path("prices/bid/", trials.bid, name="bid"),
    path("law/", law.parameters, name="parameters"),
    path("work-units/<int:unit>/rate/", prices.why_rate, name="why-rate"),
]
