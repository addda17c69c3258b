"""A small firm for the tests of pay: one job, two walls, people who can be given pieces and hours. Invented throughout.

Everything goes through the services that the site uses, as the application's role. Every world has an organisation of
its own, so that tests that really commit do not meet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import UUID, uuid4

from django.db import transaction

from jobs.actors import Actor
from jobs.models import Job, Level, Operation, Person, PlanRevision, User, Wall, WallVersion, WorkUnit
from jobs.requests import EntryRequest, HoursRequest, PersonAsked, SharesAsked
from jobs.services.entries import entry_correct, entry_log
from jobs.services.hours import hours_log
from jobs.services.organisations import OrganisationFacts, organisation_create
from jobs.services.people import PersonFacts, person_create
from jobs.services.sites import JobFacts, job_create
from jobs.tenancy import organisation_scope
from payroll.models import PayWeek, Rate
from payroll.services.payweeks import Closing, payweek_close, payweek_open
from payroll.services.rates import Scope, rate_set

MONDAY = date(2026, 11, 2)
NEXT_MONDAY = MONDAY + timedelta(days=7)
AFTER = datetime(2026, 11, 17, 9, 0, tzinfo=UTC)
LATER = AFTER + timedelta(days=7)


@dataclass(frozen=True, slots=True)
class World:
    """An organisation with an owner, a job, two walls of types P1 and P2, and its operations by code."""

    organisation: int
    owner: Actor
    job: Job
    walls: dict[str, Wall]
    operations: dict[str, Operation]

    def scope(self) -> organisation_scope:
        return organisation_scope(self.organisation)

    def person(self, name: str, worker_class: str = "journeyman") -> Person:
        number = uuid4().hex[:8]
        facts = PersonFacts(name=name, number=number, started_on=date(2026, 1, 5), worker_class=worker_class)
        return person_create(actor=self.owner, facts=facts, now=AFTER)

    def unit(
        self, operation: str, wall: str = "W-1", face: str = "", layer: int = 0, measured: str = "100000"
    ) -> WorkUnit:
        """A new work unit; `face` and `layer` tell it from others of the wall."""
        with transaction.atomic(), self.scope():
            return WorkUnit.objects.create(
                job=self.job,
                level_id=self.walls[wall].level_id,
                wall=self.walls[wall],
                operation=self.operations[operation],
                face=face,
                layer=layer,
                measured=Decimal(measured),
                revision=PlanRevision.objects.get(job=self.job),
                because=[{"rule": "test", "source": "derived", "term": measured}],
            )

    def rate(self, operation: str, amount: str, starts_on: date = date(2026, 1, 1), **scope: object) -> Rate:
        """Set a rate of an operation, named by its code."""
        wanted = Scope(operation=self.operations[operation].pk, **scope)  # type: ignore[arg-type]
        return rate_set(actor=self.owner, scope=wanted, amount=Decimal(amount), starts_on=starts_on, now=AFTER)

    def time_rate(self, kind: str, amount: str, starts_on: date = date(2026, 1, 1)) -> Rate:
        scope = Scope(time_kind=kind)
        return rate_set(actor=self.owner, scope=scope, amount=Decimal(amount), starts_on=starts_on, now=AFTER)

    def entry(
        self, unit: WorkUnit, quantity: str, *people: Person, on: date = MONDAY, now: datetime = AFTER, **span: datetime
    ) -> UUID:
        """Log an entry shared equally among people."""
        request = replace(self._request(unit, quantity, people, on, None), **span)
        entry_log(actor=self.owner, request=request, now=now)
        return request.uuid

    def correct(
        self, entry: UUID, unit: WorkUnit, quantity: str, *people: Person, on: date = MONDAY, **span: datetime
    ) -> UUID:
        """Put another entry in the place of one."""
        request = replace(self._request(unit, quantity, people, on, entry), **span)
        entry_correct(actor=self.owner, request=request, now=LATER)
        return request.uuid

    def _request(
        self, unit: WorkUnit, quantity: str, people: tuple[Person, ...], on: date, replaces: UUID | None
    ) -> EntryRequest:
        return EntryRequest(
            uuid=uuid4(),
            work_unit=unit.pk,
            worked_on=on,
            quantity=Decimal(quantity),
            shares=SharesAsked(by="equal", people=tuple(PersonAsked(person.pk) for person in people)),
            made_at=AFTER,
            replaces=replaces,
        )

    def hours(
        self,
        person: Person,
        hours: str,
        kind: str = "piece",
        on: date = MONDAY,
        replaces: UUID | None = None,
        **span: datetime,
    ) -> UUID:
        request = HoursRequest(
            uuid=uuid4(),
            job=self.job.pk,
            person=person.pk,
            worked_on=on,
            kind=kind,
            minutes=int(Decimal(hours) * 60),
            made_at=AFTER,
            replaces=replaces,
            **span,
        )
        hours_log(actor=self.owner, request=request, now=LATER)
        return request.uuid

    def week(self, first_day: date = MONDAY) -> PayWeek:
        return payweek_open(actor=self.owner, first_day=first_day, now=AFTER)

    def close(self, first_day: date = MONDAY, now: datetime = AFTER, not_paid: tuple[Person, ...] = ()) -> Closing:
        named = [person.pk for person in not_paid]
        return payweek_close(actor=self.owner, pay_week=self.week(first_day).pk, now=now, not_paid=named)


def make_world(name: str = "Alder & Quill Interiors", rules: str = "us-federal") -> World:
    """Make a firm with a job, two walls and the starting set of operations."""
    user = User.objects.create_user(f"owner-{uuid4().hex}@example.org", "not a real password")
    facts = OrganisationFacts(name=name, address="14 Fennel Row, Exampleton", time_zone="America/Chicago")
    organisation, membership = organisation_create(facts=facts, owner=user, now=AFTER)
    owner = Actor(organisation=organisation.pk, membership=membership.pk, role="owner", user=user.pk)
    return _on_job(owner, "Harrow Street Clinic", "HSC", rules)


def another_job(world: World, name: str, code: str, rules: str) -> World:
    """The same firm on another job of its own two walls."""
    return _on_job(world.owner, name, code, rules)


def _on_job(owner: Actor, name: str, code: str, rules: str) -> World:
    job_facts = JobFacts(
        name=name,
        code=code,
        started_on=date(2026, 10, 1),
        rule_set=rules,
        currency="CAD" if rules.startswith("ca-") else "USD",
        time_zone="America/Chicago",
        floor_area_sqft=Decimal("5000"),
    )
    job = job_create(actor=owner, facts=job_facts, now=AFTER)
    with transaction.atomic(), organisation_scope(owner.organisation):
        revision = PlanRevision.objects.create(
            job=job, number=1, source_name="plan.json", source_sha256="0" * 64, source=b"{}", reader="plan file",
            imported_at=AFTER, order=[], cautions=[], totals={},
        )  # fmt: skip
        level = Level.objects.create(job=job, name="Level 2", position=1)
        walls = {}
        for mark, type_name in (("W-1", "P1"), ("W-2", "P2")):
            walls[mark] = Wall.objects.create(job=job, level=level, mark=mark)
            WallVersion.objects.create(
                wall=walls[mark],
                revision=revision,
                type_name=type_name,
                geometry={"height_in": "108"},
                counts={},
                faces=[],
                pieces={},
            )
        operations = {operation.code: operation for operation in Operation.objects.all()}
    return World(owner.organisation, owner, job, walls, operations)
