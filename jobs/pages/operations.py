"""What is paid by the piece: the operations with their measures, each switched on or off."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.operations import operation_lines
from jobs.services.operations import operation_switch

_LONGEST_ID = 18


@page
def operations(request: HttpRequest, guest: Guest) -> HttpResponse:
    wrong = ""
    if request.method == "POST":
        asked, to = request.POST.get("operation", ""), request.POST.get("to", "")
        if asked.isascii() and asked.isdecimal() and len(asked) <= _LONGEST_ID and to in {"on", "off"}:
            operation_switch(actor=guest.actor, operation=int(asked), active=to == "on", now=timezone.now())
            return redirect(reverse("operations") + f"?switched={asked}")
        wrong = "What to switch was not said. Choose an operation of the list."
    with reading(guest.actor):
        lines = operation_lines()
    just = next((line for line in lines if str(line.id) == request.GET.get("switched", "")), None)
    status = 400 if wrong else 200
    return answer(request, guest, "jobs/operations.html", status=status, lines=lines, just=just, wrong=wrong)
