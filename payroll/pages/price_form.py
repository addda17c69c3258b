"""The form of one price: what it shows, what was typed, and the scope, amount and start that come of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.http import QueryDict

from jobs.pages.typed import Unreadable, read_day, read_rate
from jobs.refusals import Refusal
from payroll.selectors.prices import PriceChoices
from payroll.services.rates import Scope

TIME = "time:"
_FIELD_OF = {
    "operation": "paid_for", "time_kind": "paid_for", "amount": "amount", "starts_on": "starts_on", "job": "job",
    "wall_type": "wall_type", "height_band": "height_band", "worker_class": "class", "replaces": "starts_on",
}  # fmt: skip


@dataclass(slots=True)
class PriceForm:
    """What stands in the form. `paid_for` is an operation's id, or 'time:waiting' for time paid by the hour."""

    paid_for: str = ""
    amount: str = ""
    starts_on: str = ""
    job: str = ""
    wall_type: str = ""
    height_band: str = ""
    worker_class: str = ""
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def add(self, name: str, sentence: str) -> None:
        self.wrong.setdefault(name, []).append(sentence[:1].upper() + sentence[1:])


@dataclass(frozen=True, slots=True)
class Wanted:
    scope: Scope
    amount: Decimal
    starts_on: date


def form_of(sent: QueryDict, starts_on: date) -> PriceForm:
    """The form as it was sent, or filled in by a link; `starts_on` where no day was."""
    return PriceForm(
        paid_for=sent.get("paid_for", ""),
        amount=sent.get("amount", "").strip(),
        starts_on=sent.get("starts_on", "") or starts_on.isoformat(),
        job=sent.get("job", ""),
        wall_type=sent.get("wall_type", ""),
        height_band=sent.get("height_band", ""),
        worker_class=sent.get("class", ""),
    )


def wanted_of(form: PriceForm, choices: PriceChoices) -> Wanted | None:
    """The price that the form asks for; None where something cannot be read, with its sentences in `form.wrong`."""
    amount = starts_on = None
    operations = {str(pk): pk for pk, _ in choices.operations}
    times = {TIME + kind: kind for kind in choices.time_kinds}
    jobs = {str(pk): pk for pk, _ in choices.jobs}
    if form.paid_for not in operations and form.paid_for not in times:
        form.add("paid_for", "What is paid was not chosen. Choose an operation or a kind of time.")
    if form.job and form.job not in jobs:
        form.add("job", "That job was not found. Choose one of the list, or any job.")
    for name, value, known in (
        ("wall_type", form.wall_type, choices.wall_types),
        ("height_band", form.height_band, choices.height_bands),
        ("class", form.worker_class, choices.classes),
    ):
        if value and value not in known:
            form.add(name, f"“{value[:40]}” is none of the list. Choose one of it, or any.")
    try:
        amount = read_rate(form.amount)
    except Unreadable as wrong:
        form.add("amount", str(wrong))
    try:
        starts_on = read_day(form.starts_on)
    except Unreadable as wrong:
        form.add("starts_on", str(wrong))
    if form.wrong or amount is None or starts_on is None:
        return None
    scope = Scope(
        operation=operations.get(form.paid_for),
        time_kind=times.get(form.paid_for, ""),
        job=jobs.get(form.job),
        wall_type=form.wall_type,
        height_band=form.height_band,
        worker_class=form.worker_class,
    )
    return Wanted(scope, amount, starts_on)


def refuse(form: PriceForm, refusal: Refusal) -> None:
    """Put the sentences of a refusal beside their fields."""
    for mistake in refusal.mistakes:
        form.add(_FIELD_OF.get(mistake.path, ""), mistake.sentence)
