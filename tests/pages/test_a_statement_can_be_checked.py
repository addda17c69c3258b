"""Anybody with the paper can ask whether its hash stands; nobody learns more, and nobody asks too often."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.tenancy import organisation_scope
from payroll.models import Statement
from payroll.pages.checks import CHECKS
from tests.jobs.world import World
from tests.pages.paid_week import FIRST_DAY, PaidWeek
from tests.payroll.world import LATER, MONDAY, make_world
from tests.support.processes import keys_forget


@pytest.fixture(autouse=True)
def no_tries_before() -> Iterator[None]:
    keys_forget("tries:")
    yield
    keys_forget("tries:")


def of(world: World, paid: PaidWeek) -> Statement:
    with transaction.atomic(), organisation_scope(world.organisation):
        return Statement.objects.get(pk=paid.statements[world.people[0]])


def asked(digest: bytes | str, **given: str) -> tuple[int, str]:
    hexadecimal = digest if isinstance(digest, str) else bytes(digest).hex()
    answer = Client().get(reverse("statement-check", args=[hexadecimal]), given)
    return answer.status_code, answer.content.decode()


def test_a_hash_that_stands_says_its_week_and_nothing_of_person_firm_or_money(world: World, paid: PaidWeek) -> None:
    statement = of(world, paid)
    status, page = asked(statement.digest)
    assert status == 200
    assert "A statement with this hash stands." in page
    assert f"{FIRST_DAY.day} November 2026" in page
    assert "Nothing has taken its place." in page
    for secret in ("Alder", "Person 1", f"{statement.gross}", f"{statement.gross:,.2f}"):
        assert secret not in page


def test_the_gross_is_compared_and_never_told(world: World, paid: PaidWeek) -> None:
    statement = of(world, paid)
    same = f"{statement.gross:,.2f}"
    assert "The gross pay agrees." in asked(statement.digest, gross=f"${same}")[1]
    assert "The gross pay agrees." in asked(statement.digest, gross=f"{statement.gross}".replace(".", ","))[1]
    other = asked(statement.digest, gross=str(statement.gross + 1))[1]
    assert "does not agree" in other
    assert same not in other
    assert "Write the amount as" in asked(statement.digest, gross="a lot")[1]


@pytest.mark.parametrize("digest", ["0" * 64, "f" * 63, "not-a-hash", "g" * 64])
def test_a_hash_that_stands_nowhere_is_not_found(db: None, digest: str) -> None:
    status, page = asked(digest)
    assert status == 404
    assert "No statement with this hash stands here." in page


def test_a_corrected_statement_says_that_another_took_its_place(db: None) -> None:
    world = make_world()
    person = world.person("Corrected")
    world.rate("BOARD", "0.40")
    unit = world.unit("BOARD", face="left", layer=1)
    entry = world.entry(unit, "100", person)
    world.hours(person, "2")
    world.close()
    world.correct(entry, unit, "150", person)
    world.hours(person, "2", on=MONDAY + timedelta(days=7))
    world.close(MONDAY + timedelta(days=7), now=LATER)
    with transaction.atomic(), world.scope():
        first, second = Statement.objects.order_by("number")[:2]
    assert "It was corrected since." in asked(first.digest)[1]
    assert "Nothing has taken its place." in asked(second.digest)[1]


def test_asking_again_and_again_has_to_wait(world: World, paid: PaidWeek) -> None:
    digest = of(world, paid).digest
    answers = [asked(digest)[0] for _ in range(CHECKS.free + 2)]
    assert answers[: CHECKS.free - 1] == [200] * (CHECKS.free - 1)
    assert answers[-1] == 429
    answer = Client().get(reverse("statement-check", args=[bytes(digest).hex()]))
    assert int(answer["Retry-After"]) > 0


def test_the_page_speaks_the_language_of_the_browser(world: World, paid: PaidWeek) -> None:
    address = reverse("statement-check", args=[bytes(of(world, paid).digest).hex()])
    page = Client().get(address, headers={"Accept-Language": "fr-CA,fr;q=0.9,en;q=0.5"}).content.decode()
    assert 'lang="fr"' in page
    assert "Un relevé portant cette empreinte existe." in page
    assert "Existe un comprobante" in Client().get(address, {"language": "es"}).content.decode()
