"""Load the demo contractor through the same services that a real one uses: a second run loses nothing and adds nothing.

The scenario is read from `fixtures/demo`. Every step looks first whether its record stands already; entries and hours
carry UUIDs made from what they say. The clock of each step is the scenario's own: the evening of the day it tells of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import ROUND_HALF_UP, ROUND_UP, Decimal
from itertools import groupby
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.db.models import F

from fixtures.demo.scenario import DiaryLine, Scenario, scenario
from jobs.actors import Actor
from jobs.models import (
    BudgetLine,
    Crew,
    Entry,
    Hours,
    Job,
    Membership,
    Operation,
    Person,
    PlanRevision,
    User,
    WorkUnit,
)
from jobs.refusals import Refusal
from jobs.requests import EntryRequest, HoursRequest, PersonAsked, SharesAsked
from jobs.services.entries import entry_batch_log
from jobs.services.hours import hours_batch_log
from jobs.services.organisations import OrganisationFacts, member_add, organisation_create
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create
from jobs.services.plans import plan_import
from jobs.services.sites import JobFacts, budget_set, job_access_give, job_create
from jobs.signin import memberships_of
from jobs.tenancy import organisation_scope
from payroll.models import Agreement, PayWeek, Rate
from payroll.services.agreements import AgreementFacts, agreement_record
from payroll.services.payweeks import payweek_close, payweek_open
from payroll.services.rates import Scope, rate_set
from payroll.services.reports import weekly_report_make

FOUR_DECIMALS = Decimal("0.0001")
BEFORE_WORK, NOON, AFTER_WORK = time(6, 30), time(12), time(17, 30)
WEEK = timedelta(days=7)


@dataclass(slots=True)
class Loaded:
    """What stands in the database for the scenario's names, filled step by step."""

    demo: Scenario
    owner: Actor
    zone: ZoneInfo
    people: dict[str, int] = field(default_factory=dict)
    members: dict[str, Actor] = field(default_factory=dict)
    crews: dict[str, int] = field(default_factory=dict)
    foremen: dict[str, Actor] = field(default_factory=dict)
    operations: dict[str, int] = field(default_factory=dict)
    job: int = 0

    @contextmanager
    def reading(self) -> Iterator[None]:
        """The organisation's scope, for looking."""
        with transaction.atomic(), organisation_scope(self.owner.organisation):
            yield

    def at(self, day: date, clock: time = AFTER_WORK) -> datetime:
        """A moment of the scenario, in UTC."""
        return datetime.combine(day, clock, self.zone).astimezone(UTC)

    @property
    def start(self) -> datetime:
        """Before work on the job's first morning."""
        return self.at(self.demo.facts["job"]["started_on"], BEFORE_WORK)


class Command(BaseCommand):
    """`manage.py demo_load`: prints how to sign in on stdout, what it did on stderr."""

    help = "Load the demo contractor, its job, three weeks of entries and hours, and close the first weeks."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load everything that is not there yet. Raises CommandError with every sentence of a refusal."""
        try:
            self._load(scenario())
        except Refusal as refusal:
            raise CommandError(str(refusal)) from refusal

    def _load(self, demo: Scenario) -> None:
        loaded = organisation_load(demo)
        people_load(loaded)
        job_load(loaded)
        rates_load(loaded)
        agreements_load(loaded)
        for first_day in demo.facts["weeks"]:
            entries, hours = entries_load(loaded, first_day), hours_load(loaded, first_day)
            closed = week_load(loaded, first_day)
            self.stderr.write(f"Week of {first_day}: {entries} entries and {hours} hours were new{closed}.")
        for user in demo.facts["users"]:
            self.stdout.write(f"{user['email']}  {user['password']}  {user['role']}")


def organisation_load(demo: Scenario) -> Loaded:
    """The organisation and its owner."""
    facts = demo.facts["organisation"]
    zone = ZoneInfo(facts["time_zone"])
    (owner,) = [one for one in demo.facts["users"] if one["role"] == "owner"]
    user = user_load(owner)
    standing = [found.actor for found in memberships_of(user.pk) if found.organisation_name == facts["name"]]
    if standing:
        return Loaded(demo, standing[0], zone)
    start = datetime.combine(demo.facts["job"]["started_on"], BEFORE_WORK, zone).astimezone(UTC)
    organisation, membership = organisation_create(facts=OrganisationFacts(**facts), owner=user, now=start)
    return Loaded(demo, Actor(organisation.pk, membership.pk, "owner", user=user.pk), zone)


def user_load(facts: dict[str, Any]) -> User:
    """A user who signs in, made once; a changed password stays changed."""
    standing = User.objects.filter(email=facts["email"]).first()
    return standing or User.objects.create_user(facts["email"], facts["password"])


def people_load(loaded: Loaded) -> None:
    """People, members and crews."""
    facts = loaded.demo.facts
    with loaded.reading():
        loaded.people = dict(Person.objects.values_list("number", "pk"))
        members = {row.user_id: row.pk for row in Membership.objects.all()}
        loaded.crews = dict(Crew.objects.values_list("name", "pk"))
    for one in facts["people"]:
        if one["number"] not in loaded.people:
            person = PersonFacts(one["name"], one["number"], one["started"], one["class"], one.get("language", "en"))
            loaded.people[one["number"]] = person_create(actor=loaded.owner, facts=person, now=loaded.start).pk
    for one in facts["users"]:
        user = user_load(one)
        person_id = loaded.people.get(one.get("person", ""))
        if user.pk not in members:
            made = member_add(actor=loaded.owner, user=user, role=one["role"], person=person_id, now=loaded.start)
            members[user.pk] = made.pk
        loaded.members[one["email"]] = Actor(
            loaded.owner.organisation, members[user.pk], one["role"], person=person_id, user=user.pk
        )
    for one in facts["crews"]:
        foreman = loaded.foremen[one["name"]] = loaded.members[one["foreman"]]
        if one["name"] not in loaded.crews:
            places = [
                CrewPlace(loaded.people[number], Decimal(str(weight))) for number, weight in one["members"].items()
            ]
            crew = crew_create(
                actor=loaded.owner, name=one["name"], foreman=foreman.membership, places=places, now=loaded.start
            )
            loaded.crews[one["name"]] = crew.pk


def job_load(loaded: Loaded) -> None:
    """The job with its plan and budget, and who may see it."""
    facts = loaded.demo.facts["job"]
    with loaded.reading():
        standing = Job.objects.filter(code=facts["code"]).first()
    area = Decimal(str(facts["floor_area_sqft"]))
    made = JobFacts(**{**facts, "floor_area_sqft": area})
    loaded.job = (standing or job_create(actor=loaded.owner, facts=made, now=loaded.start)).pk
    for member in loaded.members.values():
        if member.membership is not None and not member.sees_every_job:
            job_access_give(actor=loaded.owner, job=loaded.job, membership=member.membership, now=loaded.start)
    with loaded.reading():
        loaded.operations = dict(Operation.objects.values_list("name", "pk"))
        planned = PlanRevision.objects.filter(job=loaded.job).exists()
        bid = set(BudgetLine.objects.filter(job=loaded.job).values_list("operation_id", flat=True))
    if not planned:
        plan = loaded.demo.plan
        plan_import(
            actor=loaded.owner, job=loaded.job, source=plan.read_bytes(), source_name=plan.name, now=loaded.start
        )
    for line in loaded.demo.facts["budget"]:
        operation = loaded.operations[line["operation"]]
        if operation not in bid:
            budget_set(
                actor=loaded.owner,
                job=loaded.job,
                operation=operation,
                quantity=Decimal(str(line["quantity"])),
                labour_money=Decimal(line["labour_money"]),
                now=loaded.start,
            )


def rates_load(loaded: Loaded) -> None:
    """What pieces and agreed other time pay."""
    with loaded.reading():
        standing = set(Rate.objects.values_list("operation_id", "time_kind", "wall_type", "starts_on"))
    for line in [*loaded.demo.facts["rates"], *loaded.demo.facts["time_rates"]]:
        scope = Scope(
            operation=loaded.operations[line["operation"]] if "operation" in line else None,
            time_kind=line.get("kind", ""),
            wall_type=line.get("wall_type", ""),
        )
        if (scope.operation, scope.time_kind, scope.wall_type, line["from"]) not in standing:
            rate_set(
                actor=loaded.owner,
                scope=scope,
                amount=Decimal(line["amount"]),
                starts_on=line["from"],
                now=loaded.start,
            )


def agreements_load(loaded: Loaded) -> None:
    """What crews signed before the work, for each of their people."""
    members = {crew["name"]: crew["members"] for crew in loaded.demo.facts["crews"]}
    with loaded.reading():
        standing = set(Agreement.objects.values_list("person_id", "kind"))
    for line in loaded.demo.facts["agreements"]:
        for number in members[line["crew"]]:
            person, kind = loaded.people[number], line["kind"]
            if (person, kind) not in standing:
                facts = AgreementFacts(person, kind, line["signed"], line["from"], words=line["words"])
                agreement_record(actor=loaded.owner, facts=facts, now=loaded.start)


@dataclass(frozen=True, slots=True)
class Unit:
    """A work unit as a diary names it."""

    id: int
    operation: str
    wall: str
    face: str
    layer: int
    opening: str
    measured: Decimal
    each: bool

    def uuid(self, line: DiaryLine, word: str = "entry") -> UUID:
        return line.uuid(self.wall, self.face, self.layer, self.opening, word)

    def quantity(self, line: DiaryLine) -> Decimal | None:
        """The line's part of what is measured, in whole pieces where it is counted; None asks for all that is left."""
        if line.part is None:
            return None
        part = self.measured * line.part.numerator / line.part.denominator
        return part.quantize(Decimal(1), ROUND_UP) if self.each else part.quantize(FOUR_DECIMALS, ROUND_HALF_UP)


def units_named(loaded: Loaded, line: DiaryLine, units: Iterable[Unit]) -> list[Unit]:
    """The work units of a diary line, in order. Raises CommandError where the plan has none of them."""
    wanted = {(target.wall, target.face) for target in line.targets}
    found = [
        unit
        for unit in units
        if unit.operation == line.operation and ((unit.wall, "") in wanted or (unit.wall, unit.face) in wanted)
    ]
    if not found:
        raise CommandError(
            f"{line.day}, {line.operation}: the plan has no work unit on {line.targets}. Mend the diary."
        )
    return found


def units_standing(loaded: Loaded) -> list[Unit]:
    """Every work unit of the job's walls that the newest plan still measures, in id order."""
    with loaded.reading():
        rows = WorkUnit.objects.filter(job=loaded.job, wall__isnull=False, measured__gt=0).annotate(
            mark=F("wall__mark"), operation_name=F("operation__name"), unit=F("operation__unit")
        )
        return [
            Unit(
                row.pk, row.operation_name, row.mark, row.face, row.layer, row.opening, row.measured, row.unit == "each"
            )
            for row in rows.order_by("pk")
        ]


def requests_made(loaded: Loaded) -> list[tuple[Actor, EntryRequest]]:
    """The diary and its corrections as each crew's foreman sends them, in the order they were written down."""
    units = units_standing(loaded)
    made: list[tuple[Actor, EntryRequest]] = []
    first: dict[tuple[date, int], UUID] = {}
    for line in loaded.demo.diary:
        for unit in units_named(loaded, line, units):
            first[line.day, unit.id] = unit.uuid(line)
            made.append((loaded.foremen[line.crew], _entry(loaded, line, unit, unit.uuid(line))))
    for line in loaded.demo.corrections:
        for unit in units_named(loaded, line, units):
            request = _entry(loaded, line, unit, unit.uuid(line, "correction"), first[line.day, unit.id])
            made.append((loaded.foremen[line.crew], request))
    return sorted(made, key=lambda one: one[1].made_at)


def entries_load(loaded: Loaded, first_day: date) -> int:
    """Log what was written down in the week; how many entries were new."""
    with loaded.reading():
        standing = set(Entry.objects.filter(job=loaded.job).values_list("uuid", flat=True))
    begin, end = loaded.at(first_day, time()), loaded.at(first_day + WEEK, time())
    fresh = [
        (actor, request)
        for actor, request in requests_made(loaded)
        if begin <= request.made_at < end and request.uuid not in standing
    ]
    for (actor, made_at), batch in groupby(fresh, key=lambda one: (one[0], one[1].made_at)):
        _refused(entry_batch_log(actor=actor, requests=[request for _, request in batch], now=made_at))
    return len(fresh)


def _entry(loaded: Loaded, line: DiaryLine, unit: Unit, uuid: UUID, replaces: UUID | None = None) -> EntryRequest:
    people = tuple(PersonAsked(loaded.people[number], weight=weight) for number, weight in line.weights)
    shares = SharesAsked("weight", people=people) if people else SharesAsked("weight", crew=loaded.crews[line.crew])
    return EntryRequest(
        uuid, unit.id, line.day, unit.quantity(line), shares, loaded.at(line.found), line.note, replaces
    )


def hours_load(loaded: Loaded, first_day: date) -> int:
    """Log the week's time sheet, each person's by the foreman of the crew, that evening; how many were new."""
    with loaded.reading():
        standing = set(Hours.objects.filter(job=loaded.job).values_list("uuid", flat=True))
    foreman = {
        number: loaded.foremen[crew["name"]] for crew in loaded.demo.facts["crews"] for number in crew["members"]
    }
    days = range(first_day.toordinal(), (first_day + WEEK).toordinal())
    fresh = [line for line in loaded.demo.time if line.day.toordinal() in days and line.uuid not in standing]
    fresh.sort(key=lambda line: (line.day, line.person, line.kind))
    for line in fresh:
        now = loaded.at(line.day)
        request = HoursRequest(
            line.uuid, loaded.job, loaded.people[line.person], line.day, line.kind, line.minutes, made_at=now
        )
        _refused(hours_batch_log(actor=foreman[line.person], requests=[request], now=now))
    return len(fresh)


def week_load(loaded: Loaded, first_day: date) -> str:
    """Open the week; where the scenario says so, close it the Monday after and report on it. Answers in words."""
    opened = payweek_open(actor=loaded.owner, first_day=first_day, now=loaded.at(first_day, BEFORE_WORK))
    if first_day not in loaded.demo.facts["closed"]:
        return ""
    monday = loaded.at(first_day + WEEK, NOON)
    done = ""
    if opened.state != PayWeek.State.CLOSED:
        closing = payweek_close(actor=loaded.owner, pay_week=opened.pk, now=monday)
        stopped = [sentence for one in closing.stopped for sentence in one.sentences]
        if stopped:
            raise CommandError("\n".join(stopped))
        done = f"; closed with {closing.statements} statements and {closing.gross} gross"
    weekly_report_make(actor=loaded.owner, job=loaded.job, first_day=first_day, now=monday)
    return done


def _refused(outcomes: Iterable[Any]) -> None:
    """Raise CommandError with everything that was refused."""
    sentences = [str(one) for one in outcomes if isinstance(one, Refusal)]
    if sentences:
        raise CommandError("\n".join(sentences))
