"""The office sets prices on a page: shown first, then set as shown or not at all; ended ones stay listed."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import AuditRecord, Job, Operation, WallVersion
from jobs.pages.typed import Unreadable, read_rate
from jobs.tenancy import organisation_scope
from payroll.law import listing, the_book
from payroll.models import Rate
from payroll.services.rates import Scope, rate_set
from tests.jobs.world import NOW, World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import FIRST_DAY, RATES, work_a_week

LIST = "operation,time_kind,amount,starts_on\nBOARD,,0.42,2026-12-01\n,waiting,21.50,2026-12-01\n"


def operation(world: World, code: str) -> int:
    with transaction.atomic(), organisation_scope(world.organisation):
        return Operation.objects.get(code=code).pk


def rates(world: World) -> list[tuple[Decimal, date]]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(Rate.objects.order_by("pk").values_list("amount", "starts_on"))


def text_of(answer: object) -> str:
    return unescape(re.sub(r"\s+", " ", answer.content.decode()))  # type: ignore[attr-defined]


def looked_at(text: str) -> str:
    found = re.search(r'name="looked_at" value="([0-9a-f]{64})"', text)
    assert found, text
    return found[1]


@pytest.fixture
def client(world: World) -> Client:
    return signed_in(world.actors["office"])


def typed(world: World, **changes: str) -> dict[str, str]:
    return {"paid_for": str(operation(world, "BOARD")), "amount": "0.42", "starts_on": "2026-12-01"} | changes


def test_a_price_is_looked_at_then_set_once_and_audited(world: World, client: Client) -> None:
    form = typed(world)
    page = text_of(client.post(reverse("price-set"), form))
    assert "Hang board: 0.42 from 2026-12-01 on (any job, any wall type, any height, any class)." in page
    assert f"{reverse('what-if')}?text=operation%2Camount%2Cjob%0ABOARD%2C0.42%2C%0A" in page
    assert rates(world) == []
    form |= {"set": "1", "looked_at": looked_at(page)}
    answer = client.post(reverse("price-set"), form)
    assert (answer.status_code, answer["Location"]) == (302, "/prices/?set=1")
    assert rates(world) == [(Decimal("0.42"), date(2026, 12, 1))]
    with transaction.atomic(), organisation_scope(world.organisation):
        record = AuditRecord.objects.filter(action="rate_set").get()
    assert (record.actor_id, record.after["amount"]) == (world.actors["office"].membership, "0.42")
    # Sent again by a second tap: it stands already, and nothing comes twice.
    assert "stands already" in text_of(client.post(reverse("price-set"), form))
    assert len(rates(world)) == 1


def test_what_changed_since_the_look_is_not_set(world: World, client: Client) -> None:
    form = typed(world)
    mark = looked_at(text_of(client.post(reverse("price-set"), form)))
    scope = Scope(operation=operation(world, "BOARD"))
    rate_set(actor=world.owner, scope=scope, amount=Decimal("0.40"), starts_on=date(2026, 1, 1), now=NOW)
    answer = client.post(reverse("price-set"), form | {"set": "1", "looked_at": mark})
    assert "changed since you looked" in text_of(answer)
    assert len(rates(world)) == 1
    # Nor is another amount than the one that was looked at.
    answer = client.post(reverse("price-set"), form | {"set": "1", "looked_at": mark, "amount": "4.20"})
    assert "changed since you looked" in text_of(answer)
    assert len(rates(world)) == 1


def test_a_look_at_one_job_sets_nothing_on_another_of_the_same_name(world: World, client: Client) -> None:
    with transaction.atomic(), organisation_scope(world.organisation):
        first = Job.objects.get(pk=world.job)
        twin = Job.objects.create(
            name=first.name, code="TWIN", rule_set=first.rule_set, currency=first.currency, time_zone=first.time_zone,
            unit_system=first.unit_system, started_on=first.started_on,
        )  # fmt: skip
    form = typed(world, job=str(world.job))
    mark = looked_at(text_of(client.post(reverse("price-set"), form)))
    answer = client.post(reverse("price-set"), form | {"set": "1", "looked_at": mark, "job": str(twin.pk)})
    assert "changed since you looked" in text_of(answer)
    assert rates(world) == []


def test_the_scope_of_the_form_is_the_scope_that_is_set(world: World, client: Client) -> None:
    form = typed(world, job=str(world.job), wall_type="P1", **{"class": "journeyman"})
    with transaction.atomic(), organisation_scope(world.organisation):
        form["wall_type"] = WallVersion.objects.values_list("type_name", flat=True)[0]
    page = text_of(client.post(reverse("price-set"), form))
    client.post(reverse("price-set"), form | {"set": "1", "looked_at": looked_at(page)})
    with transaction.atomic(), organisation_scope(world.organisation):
        rate = Rate.objects.get()
        scope = (rate.job_id, rate.wall_type, rate.worker_class)
    assert scope == (world.job, form["wall_type"], "journeyman")


@pytest.mark.parametrize(
    "typed_text",
    ["", "0,42", "$0.42", "-1", "+1", "1e3", "NaN", "Infinity", "٣", "0.4200001", "1 000", "999999999", "0x1", "1_0"],
)
def test_money_is_read_strictly(typed_text: str) -> None:
    with pytest.raises(Unreadable, match=r"Write"):
        read_rate(typed_text)


def test_money_that_can_be_read_is_exact() -> None:
    assert [read_rate(one) for one in ("0.42", " 21 ", "0.123456")] == [
        Decimal("0.42"),
        Decimal(21),
        Decimal("0.123456"),
    ]


def test_mistakes_stand_beside_their_fields_and_nothing_is_set(world: World, client: Client) -> None:
    form = {
        "paid_for": "9999999",
        "amount": "0",
        "starts_on": "soon",
        "job": "123456789",
        "wall_type": "?",
        "class": "x",
    }
    answer = client.post(reverse("price-set"), form)
    page = text_of(answer)
    assert answer.status_code == 400
    for words in ("What is paid was not chosen", "“soon” is no day", "That job was not found", "“?” is none"):
        assert words in page
    answer = client.post(reverse("price-set"), typed(world, amount="0"))
    assert "rate of 0 is not above zero" in text_of(answer)
    assert rates(world) == []


def test_a_start_in_the_past_a_fall_and_an_hour_below_the_least_are_pointed_out(world: World, client: Client) -> None:
    scope = Scope(operation=operation(world, "BOARD"))
    rate_set(actor=world.owner, scope=scope, amount=Decimal("0.50"), starts_on=date(2026, 1, 1), now=NOW)
    page = text_of(client.post(reverse("price-set"), typed(world, starts_on="2026-11-02")))
    assert "until then 0.50" in page
    assert "16.0% below the 0.50 before it" in page
    assert "before today" in page
    # 29 USC 206(a)(1)(C): 7.25 an hour.
    page = text_of(client.post(reverse("price-set"), typed(world, paid_for="time:waiting", amount="7.24")))
    assert "below the 7.25 of us-federal (29 USC 206(a)(1)(C))" in page


def test_a_price_that_ended_is_listed_with_its_last_day(world: World, client: Client) -> None:
    scope = Scope(operation=operation(world, "BOARD"))
    for amount, start in (("0.40", date(2026, 1, 1)), ("0.45", date(2026, 6, 1)), ("0.50", date(2027, 1, 1))):
        rate_set(actor=world.owner, scope=scope, amount=Decimal(amount), starts_on=start, now=NOW)
    page = text_of(client.get(reverse("prices")))
    stand, ended = page.split("Prices that ended")
    assert "0.40" in ended
    assert "before Mon 1 Jun 2026" in ended
    assert "0.40" not in stand
    assert "before Fri 1 Jan 2027" in stand
    assert "(not yet)" in stand


def test_a_list_is_looked_at_then_set_whole(world: World, client: Client) -> None:
    file = SimpleUploadedFile("prices.csv", LIST.encode(), "text/csv")
    page = text_of(client.post(reverse("price-list"), {"file": file}))
    assert "Hang board: 0.42 from 2026-12-01 on" in page
    assert "Set 2 prices" in page
    assert rates(world) == []
    answer = client.post(reverse("price-list"), {"text": LIST, "set": "1", "looked_at": looked_at(page)})
    assert answer["Location"] == "/prices/?set=2"
    assert len(rates(world)) == 2
    changed = LIST.replace("0.42", "0.43")
    answer = client.post(reverse("price-list"), {"text": changed, "set": "1", "looked_at": looked_at(page)})
    assert "changed since you looked" in text_of(answer)
    assert len(rates(world)) == 2


def test_a_list_with_a_mistake_sets_nothing(world: World, client: Client) -> None:
    bad = LIST + "NAILS,,1,2026-12-01\n"
    answer = client.post(reverse("price-list"), {"text": bad})
    assert answer.status_code == 400
    page = text_of(answer)
    assert "row 4, operation: operation 'NAILS' was not found" in page
    assert 'name="looked_at"' not in page
    file = SimpleUploadedFile("prices.csv", b"\xff\xfe", "text/csv")
    assert "is not UTF-8" in text_of(client.post(reverse("price-list"), {"file": file}))
    assert "No list was given" in text_of(client.post(reverse("price-list"), {}))
    big = SimpleUploadedFile("prices.csv", b"x" * 500_001, "text/csv")
    assert "use the command `csv_import prices`" in text_of(client.post(reverse("price-list"), {"file": big}))
    assert rates(world) == []


def test_why_a_rate_asks_for_the_class_and_assumes_none(world: World, client: Client) -> None:
    unit = world.unit("A", "TRACK")
    scope = Scope(operation=operation(world, "TRACK"), worker_class="journeyman")
    rate_set(actor=world.owner, scope=scope, amount=Decimal("2.30"), starts_on=date(2026, 1, 1), now=NOW)
    address = reverse("why-rate", args=[unit])
    page = text_of(client.get(address))
    assert "for each class that people have" in page
    assert "Class journeyman" in page
    one = text_of(client.get(address, {"class": "journeyman", "on": "2026-11-18"}))
    assert "for each class" not in one
    assert "2.30" in one
    unknown = client.get(address, {"class": "wizard"})
    assert unknown.status_code == 400
    assert "Nobody is of class “wizard”" in text_of(unknown)
    assert "2.30" not in text_of(unknown)
    before = text_of(client.get(address, {"class": "journeyman", "on": "2025-12-31"}))
    assert "No rate of" in before
    assert f"{reverse('price-set')}?paid_for={scope.operation}&starts_on=2025-12-31&class=journeyman" in before


def test_a_missing_rate_in_the_preview_leads_to_the_form_filled_in(
    world: World, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(RATES, "BOARD")
    work_a_week(world)
    page = text_of(client.get(reverse("week", args=[FIRST_DAY])))
    assert "no rate holds for class journeyman" in page
    link = re.search(r'href="(/prices/set/\?paid_for=[^"]+)">Set a rate for hang board', page)
    assert link
    form = text_of(client.get(link[1]))
    assert f'<option value="{operation(world, "BOARD")}" selected>' in form
    assert f'<option value="{world.job}" selected>' in form
    assert "<option selected>journeyman</option>" in form


def test_every_number_of_the_law_is_shown_with_its_ground(client: Client) -> None:
    page = text_of(client.get(reverse("parameters")))
    assert "This is not legal advice" in page
    every = listing(the_book())
    for one in every:
        for value in one.values:
            assert value.cite in page
            assert value.text in page
        for gap in one.gaps:
            assert gap.about in page
    assert "The law sets it anew on Fri 1 Jan 2027: a week from then on is refused" in page
    one = text_of(client.get(reverse("parameters"), {"place": "us-federal", "topic": "minimum_wage"}))
    assert "sets it anew" not in one
    assert "29 USC 206(a)(1)(C)" in one
    assert "Rule set ca-ontario" not in one
    wrong = client.get(reverse("parameters"), {"place": "us-ohio"})
    assert (wrong.status_code, "“us-ohio” is no place" in text_of(wrong)) == (400, True)


def test_the_list_is_taken_as_it_stands_and_changes_nothing_when_it_comes_back(world: World, client: Client) -> None:
    scope = Scope(operation=operation(world, "BOARD"), job=world.job)
    rate_set(actor=world.owner, scope=scope, amount=Decimal("0.415"), starts_on=date(2026, 1, 5), now=NOW)
    rate_set(
        actor=world.owner, scope=Scope(time_kind="waiting"), amount=Decimal(21), starts_on=date(2026, 12, 1), now=NOW
    )
    page = text_of(client.get(reverse("price-list")))
    assert "<code>BOARD</code></th><td>hang board</td>" in page
    taken = client.get(reverse("price-list-csv"))
    assert taken.headers["Content-Type"].startswith("text/csv")
    before = rates(world)
    assert len(taken.content.decode().splitlines()) == 1 + len(before)
    shown = text_of(client.post(reverse("price-list"), {"text": taken.content.decode()}))
    assert "All of it stands already; there is nothing to set." in shown
    assert rates(world) == before


def test_a_list_with_semicolons_is_told_in_one_sentence(client: Client) -> None:
    shown = text_of(client.post(reverse("price-list"), {"text": LIST.replace(",", ";")}))
    assert shown.count("row 1: ") == 1
    assert "semicolons stand between the columns. Separate them with commas." in shown
