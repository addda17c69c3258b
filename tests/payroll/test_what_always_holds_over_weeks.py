"""Any history of entries, corrections, hours, inspections, words of workers, revised plans and closings leaves every
invariant standing after each step: never over, shares exact, once, never changed, corrected by difference, and nobody's
pay cut."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, ClassVar
from uuid import UUID, uuid4

import pytest
from django.db import connection, transaction
from django.db.models import F, Sum
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from jobs.actors import Actor
from jobs.models import Entry, EntryShare, Hours, Inspection, Person, User, Word, WorkUnit, WorkUnitMeasure
from jobs.refusals import Conflict, Refusal, UuidReused
from jobs.requests import EntryRequest, HoursRequest, InspectionRequest, PersonAsked, SharesAsked, WordRequest
from jobs.selectors.audit_chain import audit_breaks
from jobs.selectors.audit_facts import facts_changed
from jobs.selectors.words import disputes_open
from jobs.services.audit_sealing import audit_seal
from jobs.services.entries import entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.services.hours import hours_log
from jobs.services.inspections import inspection_record
from jobs.services.organisations import member_add
from jobs.services.plans import plan_import
from jobs.services.words import word_say
from payroll.models import LineAllotment, Rate, Statement, StatementLine
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.paid_units import paid_beyond
from payroll.services.payweeks import payweek_close, payweek_open
from tests.payroll.test_a_revised_plan_cuts_nobodys_pay import plan
from tests.payroll.world import AFTER, MONDAY, make_world

NOW = datetime(2026, 12, 31, 12, 0, tzinfo=UTC)
WEEKS = 3
DAYS = st.integers(0, WEEKS * 7 - 1).map(lambda days: MONDAY + timedelta(days=days))
QUANTITIES = st.one_of(st.none(), st.decimals("0.0001", "12", places=4))
PEOPLE = st.integers(1, 3)
OPERATIONS = st.sampled_from(["TRACK", "STUDS"])
ANY = st.integers(0, 50)
NEVER_CHANGED = (Entry, EntryShare, Hours, Inspection, Word, Rate, Statement, StatementLine, LineAllotment)


class Firm(RuleBasedStateMachine):
    """One firm over three weeks. Each history runs in a transaction of its own that is rolled back."""

    # Over all histories: what was reached, so that none of this is proven of nothing.
    reached: ClassVar[Counter[str]] = Counter()

    def __init__(self) -> None:
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        self.world = make_world()
        self.world.rate("TRACK", "1.37")
        self.world.rate("STUDS", "2.10")
        self.world.time_rate("meeting", "21.50")
        self.revise(120)
        self.people = [self.world.person(name) for name in ("One", "Two", "Three")]
        self.answered: dict[EntryRequest, EntryAnswer] = {}
        self.hours: list[HoursRequest] = []
        self.done: dict[int, Decimal] = {}
        self.closed = 0
        self.statements: dict[int, tuple[Any, ...]] = {}
        self.paid: dict[int, Decimal] = {}
        self.kept: dict[tuple[str, int], tuple[Any, ...]] = {}
        self.said: dict[UUID, str] = {}
        user = User.objects.create_user(f"worker-{uuid4().hex}@example.org", "not a real password")
        member = member_add(actor=self.world.owner, user=user, role="worker", person=self.people[0].pk, now=NOW)
        self.worker = Actor(self.world.organisation, member.pk, "worker", person=self.people[0].pk, user=user.pk)
        # A first morning's work, so that a closing always has something to pay.
        self._log(self._request(self._unit("TRACK"), MONDAY, Decimal(3), people=2))

    def teardown(self) -> None:
        with self.world.scope():
            corrections = Statement.objects.filter(corrects__isnull=False).count()
        self.reached.update(weeks=self.closed, statements=len(self.statements), corrections=corrections)
        self.reached.update(entries=len(self.answered), words=len(self.said))
        transaction.set_rollback(True)
        self.transaction.__exit__(None, None, None)

    def _unit(self, operation: str) -> int:
        with self.world.scope():
            return int(WorkUnit.objects.get(operation__code=operation, level__name="Level 2", wall__mark="W-1").pk)

    def _log(self, request: EntryRequest) -> None:
        try:
            with transaction.atomic():
                self.answered[request] = entry_log(actor=self.world.owner, request=request, now=NOW)
        except Refusal as refusal:
            assert all(mistake.sentence for mistake in refusal.mistakes)

    def _request(
        self, unit: int | None, day: date, quantity: Decimal | None, people: int, first: UUID | None = None
    ) -> EntryRequest:
        shares = SharesAsked("equal", people=tuple(PersonAsked(one.pk) for one in self.people[:people]))
        return EntryRequest(uuid4(), unit, day, quantity, shares, made_at=AFTER, replaces=first)

    @rule(operation=OPERATIONS, day=DAYS, quantity=QUANTITIES, people=PEOPLE)
    def log(self, operation: str, day: date, quantity: Decimal | None, people: int) -> None:
        self._log(self._request(self._unit(operation), day, quantity, people))

    @precondition(lambda self: self.answered)
    @rule(which=ANY, day=DAYS, quantity=st.one_of(st.just(Decimal(0)), QUANTITIES), people=PEOPLE)
    def correct(self, which: int, day: date, quantity: Decimal | None, people: int) -> None:
        first = list(self.answered)[which % len(self.answered)]
        self._log(self._request(None, day, quantity, people, first.uuid))

    @precondition(lambda self: self.answered)
    @rule(which=ANY)
    def repeat(self, which: int) -> None:
        request = list(self.answered)[which % len(self.answered)]
        assert entry_log(actor=self.world.owner, request=request, now=NOW) == self.answered[request]

    @precondition(lambda self: self.answered)
    @rule(which=ANY)
    def use_a_uuid_for_something_else(self, which: int) -> None:
        request = list(self.answered)[which % len(self.answered)]
        with pytest.raises(UuidReused, match="quantity"), transaction.atomic():
            entry_log(actor=self.world.owner, request=replace(request, quantity=Decimal("77.5")), now=NOW)

    @rule(which=ANY, says=st.sampled_from(["disputed", "disputed", "confirmed", "settled"]))
    def say(self, which: int, says: str) -> None:
        known = [one.uuid for one in (*self.answered, *self.hours)]
        about = known[which % len(known)]
        actor = self.world.owner if says == "settled" else self.worker
        reason = "" if says == "confirmed" else "it was less"
        try:
            with transaction.atomic():
                word_say(
                    actor=actor, request=WordRequest(uuid4(), about, self.people[0].pk, says, reason, AFTER), now=NOW
                )
                self.said[about] = says
        except Refusal as refusal:
            assert refusal.mistakes

    @rule(who=st.integers(0, 2), day=DAYS, minutes=st.integers(1, 600), kind=st.sampled_from(["piece", "meeting"]))
    def work(self, who: int, day: date, minutes: int, kind: str) -> None:
        asked = HoursRequest(uuid4(), self.world.job.pk, self.people[who].pk, day, kind, minutes, made_at=AFTER)
        try:
            with transaction.atomic():
                hours_log(actor=self.world.owner, request=asked, now=NOW)
                self.hours.append(asked)
        except Refusal as refusal:
            assert refusal.mistakes

    @rule(operation=OPERATIONS, accepted=st.booleans(), day=DAYS)
    def inspect(self, operation: str, accepted: bool, day: date) -> None:
        verdict, reason = ("accepted", "") if accepted else ("reopened", "a joint stands open")
        asked = InspectionRequest(uuid4(), self._unit(operation), verdict, reason, day, made_at=AFTER)
        inspection_record(actor=self.world.owner, request=asked, now=NOW)

    @rule(length=st.sampled_from([36, 60, 96, 120, 180]))
    def revise(self, length: int) -> None:
        plan_import(actor=self.world.owner, job=self.world.job.pk, source=plan(length), source_name="p.json", now=NOW)

    @precondition(lambda self: self.closed < WEEKS)
    @rule()
    def close(self) -> None:
        week = payweek_open(actor=self.world.owner, first_day=MONDAY + timedelta(weeks=self.closed), now=NOW)
        payweek_close(actor=self.world.owner, pay_week=week.pk, now=NOW)
        self.closed += 1
        with pytest.raises(Conflict), transaction.atomic():
            payweek_close(actor=self.world.owner, pay_week=week.pk, now=NOW)
        self._closed_weeks_say_what_stands()

    def _closed_weeks_say_what_stands(self) -> None:
        """The newest statement of every person and closed week counts what is in force, whenever it was received."""
        with self.world.scope():
            for week in range(self.closed):
                first = MONDAY + timedelta(weeks=week)
                days = (first, first + timedelta(days=6))
                for person in self.people:
                    shares = EntryShare.objects.filter(
                        person=person, entry__worked_on__range=days, entry__replaced_by__isnull=True, quantity__gt=0
                    )
                    newest = (
                        Statement.objects.filter(pay_week__first_day=first, person=person).order_by("-number").first()
                    )
                    parts = (
                        LineAllotment.objects.filter(line__statement=newest) if newest else LineAllotment.objects.none()
                    )
                    counted = sorted(parts.values_list("entry", "quantity"))
                    assert counted == sorted(shares.values_list("entry", "quantity"))

    @invariant()
    def nothing_kept_is_ever_changed(self) -> None:
        with self.world.scope():
            now = {
                (model.__name__, row[0]): row
                for model in NEVER_CHANGED
                for row in model.objects.values_list("pk", *(field.attname for field in model._meta.concrete_fields))
            }
        assert self.kept.items() <= now.items()
        self.kept = now

    @invariant()
    def corrections_point_back_and_pay_the_difference(self) -> None:
        with self.world.scope():
            for one in Statement.objects.filter(corrects__isnull=False).select_related("corrects"):
                before = one.corrects
                assert (one.person_id, one.pay_week_id) == (before.person_id, before.pay_week_id)
                assert (one.rule_set, one.rules_version) == (before.rule_set, before.rules_version)
            for newest in Statement.objects.filter(corrected_by__isnull=True):
                same = Statement.objects.filter(person=newest.person_id, pay_week=newest.pay_week_id)
                # A line that pays another week's difference is counted with that week.
                others = StatementLine.objects.filter(statement=newest, code="correction").values_list(
                    "amount", flat=True
                )
                paid = same.aggregate(Sum("difference"))["difference__sum"]
                assert paid == newest.gross - sum(others) + newest.overpaid

    @invariant()
    def disputes_are_open_until_settled_or_corrected(self) -> None:
        with self.world.scope():
            replaced = set(Entry.objects.filter(replaced_by__isnull=False).values_list("uuid", flat=True))
            found = {one.about for one in disputes_open()}
        assert found == {about for about, says in self.said.items() if says == "disputed"} - replaced

    @invariant()
    def work_units_are_never_over(self) -> None:
        with self.world.scope():
            for unit in WorkUnit.objects.filter(wall__mark="W-1"):
                in_force = Entry.objects.filter(work_unit=unit, replaced_by__isnull=True)
                assert unit.done == sum(in_force.values_list("quantity", flat=True))
                assert unit.done <= max(unit.measured, self.done.get(unit.pk, Decimal(0)))
                self.done[unit.pk] = unit.done
                if (last := WorkUnitMeasure.objects.filter(work_unit=unit).order_by("-pk").first()) is not None:
                    assert last.measured == unit.measured

    @invariant()
    def shares_and_cents_add_up(self) -> None:
        with self.world.scope():
            assert Entry.objects.count() == len(self.answered)
            assert not Entry.objects.annotate(shared=Sum("shares__quantity")).exclude(shared=F("quantity")).exists()
            for line in StatementLine.objects.filter(code="piece"):
                parts = LineAllotment.objects.filter(line=line).aggregate(Sum("amount"), Sum("quantity"))
                assert (parts["amount__sum"], parts["quantity__sum"]) == (line.amount, line.quantity)
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")

    @invariant()
    def statements_stand_and_nobodys_pay_is_cut(self) -> None:
        with self.world.scope():
            now = {one.pk: (one.gross, one.difference, bytes(one.digest)) for one in Statement.objects.all()}
            assert self.statements.items() <= now.items()
            paid = {
                person.pk: Statement.objects.filter(person=person).aggregate(Sum("difference"))["difference__sum"]
                or Decimal(0)
                for person in Person.objects.all()
            }
            assert all(paid[person] >= before for person, before in self.paid.items())
            assert chain_breaks() == []
            for row in paid_beyond(job=self.world.job.pk):
                assert row.paid > row.measured
        self.statements, self.paid = now, paid

    @invariant()
    def every_change_is_on_record(self) -> None:
        audit_seal(organisation=self.world.organisation, now=NOW)
        with self.world.scope():
            assert facts_changed() == []
            assert list(audit_breaks()) == []


def _late_work() -> None:
    """One history that is written out: few of those that are drawn have late work in a closed week."""
    firm = Firm()
    invariants = [one for one in vars(Firm) if hasattr(getattr(Firm, one), "hypothesis_stateful_invariant")]
    assert len(invariants) == 7
    for step in (
        lambda: firm.say(which=0, says="disputed"),
        firm.close,
        lambda: firm.log(operation="STUDS", day=MONDAY, quantity=Decimal(1), people=2),
        firm.close,
    ):
        step()
        for name in invariants:
            getattr(firm, name)()
    firm.teardown()


def test_invariants_hold_whatever_a_firm_does(db: None):
    _late_work()
    run_state_machine_as_test(
        Firm,
        settings=settings(
            max_examples=6,
            stateful_step_count=15,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert min(Firm.reached[name] for name in ("weeks", "statements", "corrections", "entries", "words")) > 0, (
        Firm.reached
    )
