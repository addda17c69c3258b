"""Files for others: a closed week for the firm's payroll, and one person's record for an inspector."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone

from jobs.models import Person
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day
from jobs.refusals import Conflict, Invalid, not_found
from payroll.pages.files import CSV, ZIP, handed, sent, waiting_file
from payroll.reports.payroll_tables import bases_csv, earnings_csv, payroll_zip
from payroll.selectors.payroll_export import PayrollExport, payroll_export
from payroll.services.person_export import person_export

KINDS: dict[str, tuple[Callable[[PayrollExport], bytes], str, str]] = {
    "all": (payroll_zip, "payroll-{week}.zip", ZIP),
    "earnings": (earnings_csv, "earnings-{week}.csv", CSV),
    "bases": (bases_csv, "bases-{week}.csv", CSV),
}


@page
def payroll_file(request: HttpRequest, guest: Guest, first_day: date, kind: str) -> HttpResponse:
    """`kind` is all, earnings or bases."""
    if kind not in KINDS:
        raise not_found("kind", "payroll file", kind)
    make, name, media = KINDS[kind]
    try:
        with reading(guest.actor):
            export = payroll_export(first_day=first_day)
    except Conflict:
        raise not_found("first_day", "closed pay week of", first_day) from None
    return handed(make(export), name.format(week=first_day), media)


@page
def person_record_page(request: HttpRequest, guest: Guest) -> HttpResponseBase:
    """Choose a person and a span, and take the zip. Taking it is written down."""
    form = {name: request.POST.get(name, "") for name in ("person", "first", "last")}
    wrong: dict[str, str] = {}
    with reading(guest.actor):
        people = list(Person.objects.order_by("name", "number").values_list("pk", "name", "number"))
    if request.method == "POST":
        person = next((pk for pk, _, _ in people if str(pk) == form["person"]), None)
        if person is None:
            wrong["person"] = "Nobody was chosen. Choose a person of the list."
        days: dict[str, date] = {}
        for name in ("first", "last"):
            try:
                days[name] = read_day(form[name])
            except Unreadable as unreadable:
                wrong[name] = str(unreadable)
        if person is not None and not wrong:
            try:
                file = waiting_file()
                done = person_export(actor=guest.actor, person=person, to=file, now=timezone.now(), **days)
                return sent(file, done.file_name, ZIP)
            except Invalid as refusal:
                sentence = str(refusal)
                wrong["last"] = sentence[:1].upper() + sentence[1:]
    context = {"people": people, "form": form, "wrong": wrong}
    return answer(request, guest, "payroll/person_record.html", status=400 if wrong else 200, **context)
