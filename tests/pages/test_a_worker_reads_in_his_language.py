"""A worker chooses the language of his statements; it is kept, written down, and changes nobody else's."""

from __future__ import annotations

import html
import io
import re

from django.db import transaction
from django.urls import reverse
from pypdf import PdfReader

from jobs.models import AuditRecord, Person
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.tenancy import organisation_scope
from jobs.wording import LANGUAGES, work_words
from tests.jobs.world import NOW, World, entry, hours
from tests.pages.conftest import signed_in
from tests.pages.paid_week import PaidWeek


def languages(world: World) -> dict[int, str]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return dict(Person.objects.values_list("pk", "language"))


def test_the_choice_is_kept_written_down_and_read_back(world: World, paid: PaidWeek) -> None:
    client = signed_in(world.actors["worker"])
    page = client.post(
        reverse("language"), {"language": "es", "next": reverse("statements")}, follow=True
    ).content.decode()
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
    client.post(reverse("language"), {"language": "es"})
    with transaction.atomic(), organisation_scope(world.organisation):
        assert AuditRecord.objects.filter(action="person_language").count() == 1


def test_the_office_reads_english_and_prints_what_the_worker_reads(world: World, paid: PaidWeek) -> None:
    signed_in(world.actors["worker"]).post(reverse("language"), {"language": "fr"})
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
    worker.post(reverse("language"), {"language": "tlh"})
    assert set(languages(world).values()) == {"en"}
    for role in ("owner", "office"):
        if world.actors[role].person is None:
            answer = signed_in(world.actors[role]).post(reverse("language"), {"language": "es"})
            assert answer.status_code == 302
    assert set(languages(world).values()) == {"en"}


def test_the_list_says_the_year_so_far(world: World, paid: PaidWeek) -> None:
    page = signed_in(world.actors["worker"]).get(reverse("statements")).content.decode()
    assert "Year to date 2026" in page
    assert "weeks: 1" in page


def test_his_own_page_and_the_way_to_it_are_said_in_his_language(world: World) -> None:
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "10.5"), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[0], 450), now=NOW)
    worker = signed_in(world.actors["worker"])
    for code, said in (
        ("es", ("Mi trabajo", "Mis comprobantes", "Cerrar sesión", "pared A", "Está bien", "No está bien", "destajo")),
        ("fr", ("Mon travail", "Mes relevés", "Se déconnecter", "cloison A", "juste", "travail à la pièce")),
    ):
        worker.post(reverse("language"), {"language": code})
        page = html.unescape(worker.get(reverse("my-work")).content.decode())
        assert f'<html lang="{code}">' in page
        for words in said:
            assert words in page
        for english in ("My work", "Sign out", "It is right", "What I said", "piece work"):
            assert english not in page
        assert code == "es" or re.search(r"\d,\d+ pi", page)
        # The way to his own pages is in his language on a page that is English too.
        assert said[0] in worker.get(reverse("account")).content.decode()


def test_what_he_says_is_sent_by_two_buttons_apart(world: World) -> None:
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "10"), now=NOW)
    page = signed_in(world.actors["worker"]).get(reverse("my-work")).content.decode()
    buttons = re.findall(r'<button class="([^"]*)" name="says" value="(\w+)">', page)
    # Buttons of the style's full height (3 rem), with the reason's field between them.
    assert buttons == [("quiet", "confirmed"), ("quiet", "disputed")]
    right, reason, wrong = (page.index(text) for text in (">It is right<", 'name="reason"', ">It is not right<"))
    assert right < reason < wrong


def test_any_part_of_the_work_is_said_in_every_language() -> None:
    parts = ("", "left face", "right face, layer 2", "to end", "from end", "opening D1", "left face, opening W2")
    for language in LANGUAGES:
        for part in parts:
            said = work_words(language).task("tape", "A", "Level 1", part)
            assert language == "en" or not re.search(r"left|right|opening| end\b", said), said
    assert work_words("en").task("tape", "A", "", "left face, layer 2") == "tape, wall A, left face, layer 2"
    # From memory.
    assert work_words("fr").task("tape", "A", "", "right face, layer 2").endswith("cloison A, face droite, couche 2")
    assert work_words("es-MX").task("tape", "A", "", "left face, layer 2").endswith("pared A, cara izquierda, capa 2")
