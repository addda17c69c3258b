"""The price list, setting one price or a list of them after a preview, and why a rate pays a work unit."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.geometry import length_in_inches
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day
from jobs.refusals import Conflict, Invalid, NotFound
from payroll.pages.files import CSV, handed
from payroll.pages.forms import BAND_LABELS, Typed
from payroll.pages.price_form import PriceForm, form_of, refuse, wanted_of
from payroll.reports.csv_out import csv_bytes
from payroll.selectors.prices import (
    ENDED,
    PriceChoices,
    height_band_rows,
    operation_codes,
    price_choices,
    price_list,
    price_table,
)
from payroll.selectors.rate_of_unit import rate_of_unit
from payroll.services.height_bands import height_band_create
from payroll.services.price_lines import SAME, PriceLine, price_set
from payroll.services.rate_import import COLUMNS, PricesImported, rates_import

MOST_BYTES = 500_000


@page
def prices(request: HttpRequest, guest: Guest) -> HttpResponse:
    with reading(guest.actor):
        rows = price_list(on=guest.seat.today)
    stand = [row for row in rows if row.state != ENDED]
    ended = [row for row in rows if row.state == ENDED]
    just = request.GET.get("set", "")
    return answer(
        request, guest, "payroll/prices.html", prices=stand, ended=ended, just=just if just.isdecimal() else ""
    )


@page
def price_set_page(request: HttpRequest, guest: Guest) -> HttpResponse:
    """One price: typed, looked at, then set. A link may fill the form in. What was looked at must still hold."""
    sent = request.POST if request.method == "POST" else request.GET
    form = form_of(sent, guest.seat.today)
    with reading(guest.actor):
        choices = price_choices()
    line, changed = None, False
    if request.method == "POST":
        line = _one(guest, form, choices, dry_run=True)
        if line is not None and "set" in request.POST:
            changed = request.POST.get("looked_at") != seen([line])
            if not changed and line.kind != SAME and _one(guest, form, choices, dry_run=False) is not None:
                return redirect(reverse("prices") + "?set=1")
    context = {"form": form, "choices": choices, "line": line, "changed": changed, "seen": seen([line] if line else [])}
    return answer(request, guest, "payroll/price_set.html", status=400 if form.wrong else 200, **context)


@page
def height_bands(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The heights from which walls may have prices of their own, and a form for another."""
    form = Typed(labels=BAND_LABELS)
    if request.method == "POST":
        form = Typed.of(request.POST, BAND_LABELS)
        if form.done(lambda: _band_made(guest, form)):
            return redirect("height-bands")
    with reading(guest.actor):
        rows = height_band_rows()
    return answer(
        request, guest, "payroll/height_bands.html", status=400 if form.refused else 200, form=form, rows=rows
    )


def _band_made(guest: Guest, form: Typed) -> None:
    height = length_in_inches(form.text("from_inches"), "from_inches")
    height_band_create(actor=guest.actor, name=form.text("name"), from_inches=height, now=timezone.now())


def _one(guest: Guest, form: PriceForm, choices: PriceChoices, *, dry_run: bool) -> PriceLine | None:
    wanted = wanted_of(form, choices)
    if wanted is None:
        return None
    try:
        return price_set(
            actor=guest.actor,
            scope=wanted.scope,
            amount=wanted.amount,
            starts_on=wanted.starts_on,
            now=timezone.now(),
            dry_run=dry_run,
        )
    except (Invalid, NotFound, Conflict) as refusal:
        refuse(form, refusal)
        return None


@page
def price_list_set(request: HttpRequest, guest: Guest) -> HttpResponse:
    """A price list as CSV, from a file or typed: looked at, then set as a whole or not at all."""
    text, wrong = request.POST.get("text", ""), ""
    shown: PricesImported | None = None
    changed = False
    if request.method == "POST":
        if file := request.FILES.get("file"):
            text, wrong = _read(file)
        elif not text.strip():
            wrong = "No list was given. Choose a CSV file, or type the list."
        if not wrong:
            source = text.encode()
            shown = rates_import(actor=guest.actor, source=source, now=timezone.now(), dry_run=True)
            if "set" in request.POST and not shown.mistakes:
                changed = request.POST.get("looked_at") != seen(shown.lines)
                if not changed:
                    done = rates_import(actor=guest.actor, source=source, now=timezone.now(), dry_run=False)
                    if done.applied:
                        return redirect(reverse("prices") + f"?set={done.made}")
                    shown = done
    with reading(guest.actor):
        codes, bands = operation_codes(), price_choices().height_bands
    refused = bool(wrong or (shown and shown.mistakes))
    context = {
        "text": text,
        "wrong": wrong,
        "shown": shown,
        "changed": changed,
        "seen": seen(shown.lines) if shown else "",
        "columns": [name for name in COLUMNS.names if bands or name != "height_band"],
        "needed": COLUMNS.needed,
        "codes": codes,
    }
    return answer(request, guest, "payroll/price_list.html", status=400 if refused else 200, **context)


@page
def price_list_file(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Prices that hold today and those to come, as a list that this page reads again."""
    with reading(guest.actor):
        rows = price_table(on=guest.seat.today)
    return handed(csv_bytes(COLUMNS.names, rows), f"prices-{guest.seat.today}.csv", CSV)


def _read(file: UploadedFile) -> tuple[str, str]:
    """The text of an uploaded file, or the sentence that says why not."""
    if (size := file.size or 0) > MOST_BYTES:
        return "", (
            f"The file has {size} bytes; the page takes {MOST_BYTES}. Split it, or use the command `csv_import prices`."
        )
    try:
        return file.read().decode("utf-8-sig"), ""
    except UnicodeDecodeError as error:
        return "", f"Byte {error.start + 1} of the file is not UTF-8. Save it as CSV, UTF-8."


def seen(lines: Sequence[PriceLine]) -> str:
    """A mark of what a preview said, so that nothing else is set than what was looked at."""
    said = "\n".join(" ".join((str(line.row), line.key, line.sentence, *line.hints)) for line in lines)
    return hashlib.sha256(said.encode()).hexdigest()


@page
def why_rate(request: HttpRequest, guest: Guest, unit: int) -> HttpResponse:
    """For `?on=2026-11-23&class=journeyman`; today where no day is asked, and every class where none is."""
    on, wrong = guest.seat.today, ""
    if asked := request.GET.get("on", ""):
        try:
            on = read_day(asked)
        except Unreadable as unreadable:
            wrong = str(unreadable)
    with reading(guest.actor):
        found = rate_of_unit(guest.actor, unit=unit, on=on, worker_class=request.GET.get("class", ""))
    status = 400 if wrong or found.unknown else 200
    return answer(request, guest, "payroll/why_rate.html", status=status, found=found, wrong=wrong)
