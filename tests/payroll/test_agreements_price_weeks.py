"""Agreements, local minimum wages and missed breaks as the office records them: what weeks are priced by, and when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from jobs.models import AuditRecord, Job, Person
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound
from jobs.requests import EntryRequest, PersonAsked, SharesAsked
from jobs.services.entries import entry_log
from payroll.law.agreements import COVERS_ALL, GROUP_SPLIT, GUARANTEE, PIECE_OVERTIME
from payroll.models import Agreement, LocalMinimum, MissedBreak, Statement
from payroll.selectors.weeks import week_preview
from payroll.services.agreements import AgreementFacts, agreement_end, agreement_record, agreement_withdraw
from payroll.services.local_rules import (
    MinimumFacts,
    local_minimum_record,
    local_minimum_withdraw,
    missed_break_record,
    missed_break_withdraw,
)
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world
from tests.support.at_once import at_once

BEFORE = date(2026, 1, 5)


def facts(person: Person, **changes: Any) -> AgreementFacts:
    given: dict[str, Any] = {
        "person": person.pk,
        "kind": GUARANTEE,
        "signed_on": BEFORE,
        "starts_on": BEFORE,
        "rate": Decimal("12.00"),
        "guarantee_hours": "productive",
        "words": "12.00 for each hour on pieces",
    }
    return AgreementFacts(**(given | changes))


def record(world: World, person: Person, **changes: Any) -> Agreement:
    return agreement_record(actor=world.owner, facts=facts(person, **changes), now=LATER)


def plain_kind(kind: str, **changes: Any) -> dict[str, Any]:
    return {"kind": kind, "rate": None, "guarantee_hours": "", "words": kind, **changes}


def worked_week(world: World, person: Person, first: date = MONDAY, quantity: str = "1000", layer: int = 1) -> None:
    """1000 sq ft at 0.40 in 40 hours: 400.00, 10.00 an hour."""
    world.entry(world.unit("BOARD", face="left", layer=layer), quantity, person, on=first)
    for day in range(5):
        world.hours(person, "8", on=first + timedelta(days=day))


def grosses(world: World) -> list[tuple[Decimal, Decimal]]:
    with transaction.atomic(), world.scope():
        return list(Statement.objects.order_by("number").values_list("gross", "difference"))


@pytest.mark.django_db
def test_a_guarantee_pays_from_its_first_day_to_its_last():
    world = make_world()
    world.rate("BOARD", "0.40")
    person, other = world.person("Agreed"), world.person("Not agreed")
    made = record(world, person)
    for nth, one in enumerate((person, other), start=1):
        worked_week(world, one, layer=nth)
        worked_week(world, one, NEXT_MONDAY, layer=nth + 2)
    world.close()
    agreement_end(actor=world.owner, agreement=made.pk, ends_on=NEXT_MONDAY - timedelta(days=1), now=LATER)
    world.close(NEXT_MONDAY)
    # 29 CFR 778.111(b), derived: 40 x 12.00 = 480.00 in the week it held, 400.00 in the next.
    assert grosses(world) == [(Decimal(each), Decimal(each)) for each in ("480.00", "400.00", "400.00", "400.00")]
    with transaction.atomic(), world.scope():
        line = Statement.objects.get(number=1).lines.get(code="guarantee")
        assert [reason["code"] for reason in line.because] == ["guarantee", "agreement"]
        assert line.because[1]["rule"] == (
            "Agreement of 2026-01-05 with the worker: hourly guarantee, 12.00 an hour on productive hours, from "
            "2026-01-05 on."
        )
        assert AuditRecord.objects.filter(action="agreement_record").count() == 2


@pytest.mark.django_db
def test_an_agreement_recorded_late_is_paid_in_the_open_week_and_an_end_takes_nothing_back():
    world = make_world()
    world.rate("BOARD", "0.40")
    person = world.person("Recorded late")
    worked_week(world, person)
    world.close()
    made = record(world, person)
    worked_week(world, person, NEXT_MONDAY, layer=2)
    world.close(NEXT_MONDAY)
    assert grosses(world) == [
        (Decimal("400.00"), Decimal("400.00")),
        (Decimal("480.00"), Decimal("80.00")),
        (Decimal("560.00"), Decimal("480.00")),
    ]
    agreement_withdraw(actor=world.owner, agreement=made.pk, now=LATER)
    third = NEXT_MONDAY + timedelta(days=7)
    world.close(third, now=LATER + timedelta(days=7))
    with transaction.atomic(), world.scope():
        again = Statement.objects.filter(number__gt=3)
        assert [(one.gross, one.difference, one.overpaid) for one in again.order_by("number")] == [
            (Decimal("400.00"), Decimal("0.00"), Decimal("80.00")),
            (Decimal("400.00"), Decimal("0.00"), Decimal("80.00")),
        ]


@pytest.mark.django_db
def test_a_record_that_leaves_a_closed_week_as_it_was_writes_no_correction():
    world = make_world()
    world.rate("BOARD", "0.40")
    person = world.person("Unmoved")
    worked_week(world, person)
    world.close()
    record(world, person, rate=Decimal("9.00"))
    record(world, person, **plain_kind(GROUP_SPLIT))
    worked_week(world, person, NEXT_MONDAY, layer=2)
    closing = world.close(NEXT_MONDAY)
    assert (closing.statements, closing.corrections) == (1, 0)


@pytest.mark.django_db
def test_a_week_in_which_it_begins_is_priced_by_its_days():
    world = make_world()
    world.rate("BOARD", "0.40")
    person = world.person("Midweek")
    unit = world.unit("BOARD", face="left", layer=1)
    for day, made in enumerate(("500", "500", "250", "250", "250")):
        world.entry(unit, made, person, on=MONDAY + timedelta(days=day))
        world.hours(person, "8", on=MONDAY + timedelta(days=day))
    record(world, person, rate=Decimal("20.00"), starts_on=MONDAY + timedelta(days=2))
    world.close()
    # Derived: 400.00 on Monday and Tuesday, then 24 x 20.00 = 480.00 against 300.00.
    assert grosses(world) == [(Decimal("880.00"), Decimal("880.00"))]


@pytest.mark.django_db
def test_overtime_on_the_piece_rate_needs_an_agreement_on_record():
    # 29 CFR 778.418, rule read in the official text: 4000 sq ft at .25 in 40 h, 600 at .375 in 8 h: 1225.00. Without
    # the agreement 778.111: 1245.83. Figures derived.
    world = make_world()
    world.rate("BOARD", "0.25")
    agreed, usual = world.person("Agreed"), world.person("Usual")
    record(world, agreed, **plain_kind(PIECE_OVERTIME))
    for layer, person in enumerate((agreed, usual), start=1):
        unit = world.unit("BOARD", face="left", layer=layer)
        for day in range(6):
            world.entry(unit, "800" if day < 5 else "600", person, on=MONDAY + timedelta(days=day))
            world.hours(person, "8", on=MONDAY + timedelta(days=day))
    world.close()
    assert [gross for gross, _ in grosses(world)] == [Decimal("1225.00"), Decimal("1245.83")]


@pytest.mark.django_db
def test_a_group_shared_unequally_without_an_agreement_is_pointed_at():
    world = make_world()
    world.rate("BOARD", "0.40")
    agreed, usual = world.person("Agreed"), world.person("Usual")
    record(world, agreed, **plain_kind(GROUP_SPLIT))
    shares = SharesAsked(by="weight", people=(PersonAsked(agreed.pk, Decimal(1)), PersonAsked(usual.pk, Decimal(2))))
    unit = world.unit("BOARD", face="left", layer=1)
    request = EntryRequest(uuid4(), unit.pk, MONDAY, Decimal("90"), shares, AFTER)
    entry_log(actor=world.owner, request=request, now=AFTER)
    for person in (agreed, usual):
        world.hours(person, "8")
    week = world.week()
    with transaction.atomic(), world.scope():
        found = {one.name: one.warnings for one in week_preview(pay_week=week.pk).people}
    assert found["Agreed"] == ()
    assert found["Usual"] == (
        "Usual: shared a group's pieces unequally on Mon 2 Nov 2026 without an agreement on a group split. "
        "Record it if it was signed before the work, else correct the entries to equal shares.",
    )


@pytest.mark.django_db
def test_a_group_without_an_agreement_is_pointed_at_once():
    world = make_world()
    world.rate("BOARD", "0.40")
    people = [world.person(name) for name in ("Ada", "Bo", "Cy")]
    shares = SharesAsked(by="weight", people=tuple(PersonAsked(one.pk, Decimal(2)) for one in people))
    unit = world.unit("BOARD", face="left", layer=1)
    for day in (MONDAY, MONDAY + timedelta(days=1)):
        request = EntryRequest(uuid4(), unit.pk, day, Decimal("90"), shares, AFTER)
        entry_log(actor=world.owner, request=request, now=AFTER)
        for person in people:
            world.hours(person, "8", on=day)
    week = world.week()
    with transaction.atomic(), world.scope():
        preview = week_preview(pay_week=week.pk)
    (said,) = [sentence for one in preview.people for sentence in one.warnings]
    assert said.startswith("Ada, Bo, Cy: shared a group's pieces unequally on Mon 2 Nov 2026, Tue 3 Nov 2026 without")
    assert preview.uneven


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"kind": "promise"}, "'promise' is no kind of agreement"),
        ({"rate": None}, "is not above zero"),
        ({"rate": Decimal("-1")}, "-1 an hour is not above zero"),
        ({"guarantee_hours": "some"}, "'some': say whether productive or all hours"),
        ({"words": " "}, "nothing says what was agreed"),
        ({"ends_on": date(2026, 1, 4)}, "before it starts on 2026-01-05"),
        ({"reference": "x" * 201}, "longer than 200 letters"),
        (plain_kind(COVERS_ALL, rate=Decimal("1")), "has no hourly figure"),
        (plain_kind(PIECE_OVERTIME, starts_on=date(2026, 1, 4)), "must be agreed before the work"),
    ],
)
def test_what_cannot_be_agreed_is_refused_with_a_sentence(changes: dict[str, Any], says: str):
    world = make_world()
    with pytest.raises(Invalid, match=says):
        record(world, world.person("Refused"), **changes)
    with transaction.atomic(), world.scope():
        assert not Agreement.objects.exists()


@pytest.mark.django_db
def test_two_of_a_kind_never_hold_on_the_same_day_and_nobody_else_records():
    world, other = make_world(), make_world("Bramble Partitions")
    person = world.person("Twice")
    first = record(world, person)
    with pytest.raises(Conflict, match="holds from 2026-01-05 on, without an end already"):
        record(world, person, starts_on=date(2026, 6, 1))
    ended = agreement_end(actor=world.owner, agreement=first.pk, ends_on=date(2026, 5, 31), now=LATER)
    record(world, person, starts_on=date(2026, 6, 1))
    with pytest.raises(Conflict, match="was replaced or withdrawn already"):
        agreement_end(actor=world.owner, agreement=first.pk, ends_on=date(2026, 5, 30), now=LATER)
    agreement_withdraw(actor=world.owner, agreement=ended.pk, now=LATER)
    with pytest.raises(NotFound):
        agreement_record(actor=other.owner, facts=facts(person), now=LATER)
    with pytest.raises(NotFound):
        agreement_withdraw(actor=other.owner, agreement=first.pk, now=LATER)
    foreman = world.owner.__class__(world.organisation, world.owner.membership, "foreman")
    with pytest.raises(NotAllowed):
        agreement_record(actor=foreman, facts=facts(person), now=LATER)


def test_two_at_once_record_one(committed_db: None):
    world = make_world()
    person = world.person("At once")
    outcomes = at_once(lambda one: record(world, one), [person] * 4)
    assert sum(isinstance(one, Agreement) for one in outcomes) == 1, outcomes
    assert sum(isinstance(one, Conflict) for one in outcomes) == 3


@pytest.mark.django_db
def test_a_local_minimum_is_held_cited_and_reaches_back():
    world = make_world()
    world.rate("BOARD", "0.10")
    person = world.person("In town")
    worked_week(world, person)
    world.close()
    minimum = MinimumFacts(world.job.pk, Decimal("9.00"), MONDAY + timedelta(days=2), "Exampleton Code 4.1", MONDAY)
    made = local_minimum_record(actor=world.owner, facts=minimum, now=LATER)
    worked_week(world, person, NEXT_MONDAY, layer=2)
    world.close(NEXT_MONDAY)
    # 29 USC 206, 218(a), derived: 40 x 7.25 = 290.00; 16 x 7.25 + 24 x 9.00 = 332.00; 40 x 9.00 = 360.00.
    assert grosses(world) == [
        (Decimal("290.00"), Decimal("290.00")),
        (Decimal("332.00"), Decimal("42.00")),
        (Decimal("402.00"), Decimal("360.00")),
    ]
    with transaction.atomic(), world.scope():
        reasons = Statement.objects.get(number=2).floors[0]["because"]
    said = next(reason for reason in reasons if reason["code"] == "local-minimum")
    assert said["working"] == ("9.00 an hour: Exampleton Code 4.1, in force at Harrow Street Clinic from 2026-11-04")
    local_minimum_withdraw(actor=world.owner, minimum=made.pk, now=LATER)
    again = local_minimum_record(actor=world.owner, facts=minimum, now=LATER)
    with transaction.atomic(), world.scope():
        assert [row.withdrawn for row in LocalMinimum.objects.order_by("pk")] == [False, True, False]
        assert again.replaces_id is not None


@pytest.mark.django_db
def test_the_minimum_of_a_year_not_known_here_is_recorded_by_the_office():
    # California Labor Code 1182.12(c): set anew on 2027-01-01. The new figure is invented.
    world = make_world()
    with transaction.atomic(), world.scope():
        Job.objects.filter(pk=world.job.pk).update(rule_set="us-california")
    lower = MinimumFacts(world.job.pk, Decimal("16.90"), date(2027, 1, 1), "an invented order", date(2026, 12, 1))
    with pytest.raises(Invalid, match=r"16\.90 an hour is not above the 16\.90 of us-california"):
        local_minimum_record(actor=world.owner, facts=lower, now=LATER)
    made = local_minimum_record(actor=world.owner, facts=replace(lower, amount=Decimal("17.25")), now=LATER)
    assert made.starts_on == date(2027, 1, 1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "kind", "says"),
    [
        ({"cite": " "}, Invalid, "no ordinance is cited"),
        (
            {"amount": Decimal("7.25"), "starts_on": MONDAY},
            Invalid,
            r"7.25 an hour is not above the 7.25 of us-federal .*29 USC 206",
        ),
        ({"amount": Decimal("0")}, Invalid, "is no minimum wage"),
        ({"starts_on": date(1950, 1, 1)}, Invalid, "no minimum wage is known for us-federal before"),
        ({"job": 10**15}, NotFound, "was not found"),
        ({}, Conflict, "starts on 2026-01-05 at Harrow Street Clinic already"),
    ],
)
def test_a_local_minimum_without_ground_is_refused(changes: dict[str, Any], kind: type[Exception], says: str):
    world = make_world()
    given: dict[str, Any] = {
        "job": world.job.pk,
        "amount": Decimal("9.00"),
        "starts_on": BEFORE,
        "cite": "Exampleton Code 4.1",
        "read_on": BEFORE,
    }
    local_minimum_record(actor=world.owner, facts=MinimumFacts(**given), now=LATER)
    with pytest.raises(kind, match=says):
        local_minimum_record(actor=world.owner, facts=MinimumFacts(**(given | changes)), now=LATER)


@pytest.mark.django_db
def test_a_missed_break_pays_an_hour_where_the_law_does_and_says_so_elsewhere():
    # California Labor Code 226.7(c): one hour at the regular rate, here 400 / 40 = 10.00, floored at the minimum wage
    # of 16.90: pieces are topped up to 676.00, so the regular rate is 16.90. Derived.
    for rules, paid in (("us-california", "692.90"), ("us-federal", "400.00")):
        world = make_world(rules=rules)
        world.rate("BOARD", "0.40")
        person = world.person("No lunch")
        worked_week(world, person)
        made = missed_break_record(
            actor=world.owner, person=person.pk, missed_on=MONDAY, kind="meal", why="pour next door", now=LATER
        )
        with pytest.raises(Conflict, match="is recorded as missed already"):
            missed_break_record(
                actor=world.owner, person=person.pk, missed_on=MONDAY, kind="meal", why="again", now=LATER
            )
        world.close()
        assert grosses(world)[0][0] == Decimal(paid)
        with transaction.atomic(), world.scope():
            statement = Statement.objects.get()
            said = [reason for line in statement.lines.all() for reason in line.because]
            cited = any(reason["cite"] == "California Labor Code 226.7(c)" for reason in said)
            assert cited is (rules == "us-california")
            spoken = any("us-federal pays no hour for it" in caution for caution in statement.cautions)
            assert spoken is (rules == "us-federal")
        missed_break_withdraw(actor=world.owner, missed=made.pk, now=LATER)
        with transaction.atomic(), world.scope():
            assert MissedBreak.objects.count() == 2


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("sql", "constraint"),
    [
        ("UPDATE payroll_agreement SET words = 'x'", "rows there are never changed"),
        ("DELETE FROM payroll_agreement", "rows there are never changed"),
        (
            "INSERT INTO payroll_agreement (organisation_id, person_id, kind, rate, guarantee_hours, signed_on, "
            "starts_on, words, reference, withdrawn, recorded_at) SELECT organisation_id, person_id, "
            "'group split', NULL, '', '2026-02-01', '2026-01-01', 'x', '', false, recorded_at FROM payroll_agreement",
            "agreement_is_signed_before_the_work",
        ),
        (
            "INSERT INTO payroll_agreement (organisation_id, person_id, kind, rate, guarantee_hours, signed_on, "
            "starts_on, words, reference, withdrawn, recorded_at, replaces_id) SELECT organisation_id, person_id, "
            "'group split', NULL, '', signed_on, starts_on, 'x', '', false, recorded_at, id FROM payroll_agreement",
            "payroll_agreement_replaces_own",
        ),
        (
            "INSERT INTO payroll_agreement (organisation_id, person_id, kind, rate, guarantee_hours, signed_on, "
            "starts_on, words, reference, withdrawn, recorded_at) SELECT organisation_id, person_id, "
            "kind, NULL, '', signed_on, starts_on, 'x', '', false, recorded_at FROM payroll_agreement",
            "agreement_guarantee_has_its_figures",
        ),
        (
            "INSERT INTO payroll_agreement (organisation_id, person_id, kind, rate, guarantee_hours, signed_on, "
            "starts_on, words, reference, withdrawn, recorded_at) SELECT organisation_id, person_id, "
            "kind, rate, guarantee_hours, signed_on, starts_on, '', '', false, recorded_at FROM payroll_agreement",
            "agreement_has_words_or_a_reference",
        ),
    ],
)
def test_the_database_refuses_what_the_services_would(sql: str, constraint: str):
    world = make_world()
    record(world, world.person("Kept"))
    with (
        pytest.raises(DatabaseError, match=f"{constraint}|permission denied"),
        transaction.atomic(),
        world.scope(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql)
