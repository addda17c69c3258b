"""A worker chooses the language of his statements; it is kept, written down, and changes nobody else's."""

from __future__ import annotations

import io

from django.db import transaction
from django.urls import reverse
from pypdf import PdfReader

from jobs.models import AuditRecord, Person
from jobs.tenancy import organisation_scope
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import PaidWeek


def languages(world: World) -> dict[int, str]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return dict(Person.objects.values_list("pk", "language"))


def test_the_choice_is_kept_written_down_and_read_back(world: World, paid: PaidWeek) -> None:
    client = signed_in(world.actors["worker"])
    page = client.post(reverse("statements"), {"language": "es"}, follow=True).content.decode()
    assert 'lang="es"' in page
    assert "Mis comprobantes" in page
    own = world.people[0]
    assert {person for person, language in languages(world).items() if language != "en"} == {own}
    with transaction.atomic(), organisation_scope(world.organisation):
        (record,) = AuditRecord.objects.filter(action="person_language")
        assert (record.subject_key, record.before, record.after) == (str(own), {"language": "en"}, {"language": "es"})
    statement = client.get(reverse("statement", args=[paid.statements[own]])).content.decode()
    assert "Renglones" in statement
    paper = PdfReader(io.BytesIO(client.get(reverse("statement-pdf", args=[paid.statements[own]])).content))
    assert paper.metadata is not None
    assert str(paper.metadata.title).startswith("Comprobante de pago")
    # The same choice again is no change.
    client.post(reverse("statements"), {"language": "es"})
    with transaction.atomic(), organisation_scope(world.organisation):
        assert AuditRecord.objects.filter(action="person_language").count() == 1


def test_the_office_reads_english_and_prints_what_the_worker_reads(world: World, paid: PaidWeek) -> None:
    signed_in(world.actors["worker"]).post(reverse("statements"), {"language": "fr"})
    office = signed_in(world.actors["office"])
    statement = paid.statements[world.people[0]]
    assert "<h2>Lines</h2>" in office.get(reverse("statement", args=[statement])).content.decode()
    paper = PdfReader(io.BytesIO(office.get(reverse("statement-pdf", args=[statement])).content))
    assert paper.metadata is not None
    assert str(paper.metadata.title).startswith("Relevé de paie")
    english = office.get(reverse("statement-pdf", args=[statement]), {"language": "en"}).content
    assert str(PdfReader(io.BytesIO(english)).metadata.title).startswith("Statement of pay")  # type: ignore[union-attr]


def test_a_language_that_is_not_spoken_is_english_and_nobody_is_changed_by_who_is_not_paid(world: World) -> None:
    worker = signed_in(world.actors["worker"])
    worker.post(reverse("statements"), {"language": "tlh"})
    assert set(languages(world).values()) == {"en"}
    for role in ("owner", "office"):
        if world.actors[role].person is None:
            answer = signed_in(world.actors[role]).post(reverse("statements"), {"language": "es"})
            assert answer.status_code == 302
    assert set(languages(world).values()) == {"en"}


def test_the_list_says_the_year_so_far(world: World, paid: PaidWeek) -> None:
    page = signed_in(world.actors["worker"]).get(reverse("statements")).content.decode()
    assert "Year to date 2026" in page
    assert "weeks: 1" in page
