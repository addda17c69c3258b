"""The entry form: what it shows at first, what was typed, and the request that comes of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.http import QueryDict

from jobs.clock import NoMoment, moment_on
from jobs.measures import half_up
from jobs.pages.printed import tidy
from jobs.pages.typed import LONGEST, Unreadable, read_day, read_minutes, read_number, read_weight
from jobs.refusals import Refusal
from jobs.requests import FEET, SHEETS, EntryRequest, PartAsked, PersonAsked, SharesAsked, plain
from jobs.selectors.entry_sheet import EntryRow, ShareRow
from jobs.selectors.log_choices import Team
from jobs.spoken import Spoken

PEOPLE = "people"
_FIELD_OF = {
    "quantity": "quantity",
    "part": "quantity",
    "worked_on": "worked_on",
    "shares": "who",
    "note": "note",
    "started_at": "made",
    "finished_at": "made",
}


@dataclass(slots=True)
class EntryForm:
    """What stands in the form. `wrong` holds sentences by field, and under "" those that belong to none."""

    uuid: str
    how_much: str
    quantity: str
    who: str
    worked_on: str
    note: str = ""
    started: str = ""
    finished: str = ""
    said_in: str = ""
    steps: set[int] = field(default_factory=set)
    plan: int = 0
    people: dict[int, str] = field(default_factory=dict)
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def add(self, name: str, sentence: str) -> None:
        self.wrong.setdefault(name, []).append(sentence)


def fresh_form(team: Team, today: date) -> EntryForm:
    """All that is left, by the first crew, today: what is logged most."""
    who = team.crews[0].value if team.crews else PEOPLE
    return EntryForm(str(uuid4()), "all", "", who, today.isoformat())


def form_of_entry(entry: EntryRow) -> EntryForm:
    """The form to correct an entry: as it stands now."""
    people = {share.person: _parts(share, entry.shares) for share in entry.shares if share.quantity}
    return EntryForm(
        str(uuid4()),
        "part",
        quantity_shown(entry),
        PEOPLE,
        entry.worked_on.isoformat(),
        entry.note,
        _clock(entry.started_at, entry.time_zone),
        _clock(entry.finished_at, entry.time_zone),
        people=people,
    )


def _clock(moment: datetime | None, zone: str) -> str:
    return "" if moment is None else moment.astimezone(ZoneInfo(zone)).strftime("%H:%M")


def quantity_shown(entry: EntryRow) -> str:
    """An entry's quantity as the field holds it at first."""
    return tidy(entry.quantity).replace(",", "")


def _parts(share: ShareRow, shares: tuple[ShareRow, ...]) -> str:
    """Equal shares, but for the last ten-thousandth, are one part each; others are told by their quantity."""
    sizes = [one.quantity for one in shares]
    equal = max(sizes) - min(sizes) <= Decimal("0.0001")
    return "1" if equal else tidy(share.quantity).replace(",", "")


def typed_form(sent: QueryDict) -> EntryForm:
    """The form as it was sent."""
    ticked = [pk for pk in sent.getlist("person") if pk.isascii() and pk.isdecimal() and len(pk) < 19]
    people = {int(pk): sent.get(f"parts-{pk}", "").strip() for pk in ticked}
    return EntryForm(
        uuid=sent.get("uuid", ""),
        how_much=sent.get("how_much") if sent.get("how_much") in {"all", "sheets"} else "part",
        quantity=sent.get("quantity", "").strip(),
        who=sent.get("who", ""),
        worked_on=sent.get("worked_on", ""),
        note=sent.get("note", "").strip(),
        started=sent.get("started", "").strip(),
        finished=sent.get("finished", "").strip(),
        said_in=sent.get("said_in", ""),
        steps={int(step) for step in _steps(sent) if step.isdecimal() and len(step) < 7},
        plan=int(plan) if (plan := sent.get("plan", "")).isdecimal() and len(plan) < 7 else 0,
        people=people,
    )


def _steps(sent: QueryDict) -> list[str]:
    """Sheets that were ticked, or typed as 4, 5; nothing of what cannot be read as a list, such as 4-6."""
    typed = sent.get("sheets", "")
    return sent.getlist("step") + (typed.replace(",", " ").split() if re.fullmatch(r"[0-9, ]*", typed) else [])


def request_of(
    form: EntryForm,
    *,
    unit: int,
    unit_word: str,
    zone: str,
    spoken: Spoken,
    team: Team,
    now: datetime,
    replaces: UUID | None = None,
    shown_at_first: str = "",
) -> EntryRequest | None:
    """The request that the form asks for; None where something cannot be read, with its sentences in `form.wrong`.

    `shown_at_first` is the quantity that the form itself put in the field.
    """
    quantity, part = _how_much(form, unit_word, spoken, shown_at_first)
    worked_on = None
    try:
        worked_on = read_day(form.worked_on)
    except Unreadable as wrong:
        form.add("worked_on", str(wrong))
    shares = _shares(form, team)
    started_at, finished_at = (_moment(form, clock, worked_on, zone) for clock in (form.started, form.finished))
    if len(form.note) > 500:
        form.add("note", f"The note has {len(form.note)} letters. Keep it to 500.")
    if "\0" in form.note:
        form.add("note", "The note holds a character that cannot be kept. Type it anew.")
    try:
        uuid = UUID(form.uuid)
    except ValueError:
        form.add("", "The form lost its number on the way. Send it again: it has a new one now.")
        form.uuid = str(uuid4())
    if form.wrong or worked_on is None or shares is None:
        return None
    return EntryRequest(
        uuid, unit, worked_on, quantity, shares, now, form.note, replaces, part, started_at, finished_at
    )


def _moment(form: EntryForm, clock: str, day: date | None, zone: str) -> datetime | None:
    """A time of the day worked as the clock at the job shows it, where one was typed."""
    if not clock or day is None:
        return None
    try:
        return moment_on(day, read_minutes(clock), zone)
    except (Unreadable, NoMoment) as wrong:
        form.add("made", str(wrong))
        return None


def _how_much(
    form: EntryForm, unit_word: str, spoken: Spoken, shown_at_first: str
) -> tuple[Decimal | None, PartAsked | None]:
    """The quantity in the operation's unit, or the part in another; both None for all that is left.

    What was typed or ticked counts, though the choice beside it was forgotten: nobody is paid for all because of a tap.
    """
    typed = form.quantity if form.quantity != shown_at_first else ""
    if form.how_much == "all" and typed and form.steps:
        form.add("quantity", f"“{typed}” was typed and sheets were ticked too. Choose one of the two.")
    elif form.how_much == "all" and (typed or form.steps):
        form.how_much = "part" if typed else "sheets"
    if form.how_much == "all":
        return None, None
    if form.how_much == "sheets":
        if not form.steps:
            form.add("quantity", "No sheet was ticked. Tick those that are up, or choose all that is left.")
        return None, PartAsked(SHEETS, steps=tuple(sorted(form.steps)), plan=form.plan or None)
    try:
        number = read_number(form.quantity, unit_word)
    except Unreadable as wrong:
        form.add("quantity", str(wrong))
        return None, None
    if form.said_in in spoken.units:
        return None, PartAsked(form.said_in, number.value)
    if not number.in_feet:
        if (kept := half_up(number.value)) != number.value and "/" not in form.quantity:
            form.add(
                "quantity", f"“{form.quantity[:LONGEST]}” has more than four decimals. Write {plain(kept)} instead."
            )
        return kept, None
    if FEET not in spoken.units:
        form.add("quantity", f"“{form.quantity}” is feet and inches, and this is told in {unit_word}.")
    return None, PartAsked(FEET, number.value)


def _shares(form: EntryForm, team: Team) -> SharesAsked | None:
    for crew in team.crews:
        if form.who == crew.value:
            return SharesAsked(by="weight" if crew.weighted else "equal", crew=crew.id)
    if not form.people:
        form.add("who", "Nobody was chosen. Choose a crew, or tick the people who did the work.")
        return None
    try:
        weights = {person: read_weight(parts) for person, parts in form.people.items()}
    except Unreadable as wrong:
        form.add("who", str(wrong))
        return None
    if len(set(weights.values())) == 1:
        return SharesAsked(by="equal", people=tuple(PersonAsked(person) for person in weights))
    return SharesAsked(
        by="weight", people=tuple(PersonAsked(person, weight=weight) for person, weight in weights.items())
    )


def refuse(form: EntryForm, refusal: Refusal, team: Team) -> None:
    """Put the sentences of a refusal beside their fields, with people's names where a number stood."""
    names = {person.id: person.name for person in team.people}
    for mistake in refusal.mistakes:
        sentence = mistake.sentence
        for pk, name in names.items():
            sentence = sentence.replace(f"person {pk} ", f"{name} ")
        form.add(_FIELD_OF.get(mistake.path.split(".")[0].split("[")[0], ""), sentence)
