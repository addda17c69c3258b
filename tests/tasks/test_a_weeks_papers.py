"""All papers of a week by a real worker: made once, in parts, the same bytes whenever they are made."""

from __future__ import annotations

import io
import time
import zipfile
from datetime import timedelta

import pytest
from django.db import transaction
from pypdf import PdfReader

from jobs.models import CrewMember, Person
from jobs.refusals import Conflict, NotAllowed, NotFound
from jobs.services.people import CrewPlace, crew_create
from payroll.models import PapersPart, PayWeek, Statement
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors import papers as progress
from payroll.selectors.papers import papers_progress
from payroll.selectors.statements import statement_detail
from payroll.services.papers import KEPT, papers_ask, papers_file, papers_part_make
from tests.payroll.world import AFTER, LATER, World, make_world

PEOPLE = 5


def closed_week() -> tuple[World, int]:
    """Five people, one of whom reads Spanish, in one closed week."""
    world = make_world()
    crew = [world.person(f"Person {number}") for number in range(PEOPLE)]
    with transaction.atomic(), world.scope():
        Person.objects.filter(pk=crew[0].pk).update(language="es")
    world.rate("BOARD", "0.41")
    world.entry(world.unit("BOARD", face="left", layer=1), "1001.25", *crew)
    for person in crew:
        world.hours(person, "9")
    return world, world.close().pay_week.pk


def files(world: World, week: int) -> dict[str, bytes]:
    with transaction.atomic(), world.scope():
        return dict(papers_file(pay_week=week))


def test_the_worker_makes_every_paper_of_a_week_in_each_persons_language(committed_db: None, worker: None):
    world, week = closed_week()
    assert papers_ask(actor=world.owner, pay_week=week, now=LATER) == 1
    until = time.monotonic() + 60
    while True:
        with transaction.atomic(), world.scope():
            made = papers_progress(pay_week=week)
        if made.done:
            break
        assert time.monotonic() < until, "the worker made no papers in a minute"
        time.sleep(0.1)
    assert made.made == made.statements == PEOPLE
    papers = files(world, week)
    assert len(papers) == PEOPLE
    with transaction.atomic(), world.scope():
        for statement in Statement.objects.all():
            detail = statement_detail(actor=world.owner, statement=statement.pk, language=None)
            name = next(name for name in papers if name.endswith(f"-{statement.number}.pdf"))
            assert papers[name] == statement_pdf(detail.figures)
    titles = [PdfReader(io.BytesIO(paper)).metadata.title for paper in papers.values()]
    assert sum(title.startswith("Comprobante de pago") for title in titles) == 1
    # Everything is there, so asking again queues nothing.
    assert papers_ask(actor=world.owner, pay_week=week, now=LATER) == 0


@pytest.mark.django_db
def test_parts_are_made_once_and_what_is_missing_is_made_later(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(progress, "PER_PART", 2)
    world, week = closed_week()
    made = [
        papers_part_make(organisation=world.organisation, pay_week=week, part=part, now=LATER) for part in (1, 3, 1)
    ]
    assert made == [2, 1, 2]
    with transaction.atomic(), world.scope():
        shown = papers_progress(pay_week=week)
        assert (shown.made, shown.statements, shown.done) == (3, PEOPLE, False)
        assert PapersPart.objects.count() == 2
        first = bytes(PapersPart.objects.get(part=1).archive)
        PapersPart.objects.all().delete()
    for part in (1, 2, 3):
        papers_part_make(organisation=world.organisation, pay_week=week, part=part, now=LATER + timedelta(days=9))
    with transaction.atomic(), world.scope():
        assert papers_progress(pay_week=week).done
        assert bytes(PapersPart.objects.get(part=1).archive) == first
    assert len(files(world, week)) == PEOPLE
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert archive.testzip() is None


@pytest.mark.django_db
def test_papers_are_let_go_after_a_while():
    world, week = closed_week()
    papers_part_make(organisation=world.organisation, pay_week=week, part=1, now=LATER)
    assert papers_ask(actor=world.owner, pay_week=week, now=LATER + KEPT) == 0
    assert papers_ask(actor=world.owner, pay_week=week, now=LATER + KEPT + timedelta(seconds=1)) == 1
    assert files(world, week) == {}


@pytest.mark.django_db
def test_an_open_week_a_foreign_one_and_a_foreman_get_none():
    world, week = closed_week()
    other, _ = closed_week()
    with transaction.atomic(), world.scope():
        open_week = PayWeek.objects.create(first_day=AFTER.date() + timedelta(days=6), opened_at=AFTER)
    with pytest.raises(Conflict, match=r"is open\. Close it first"):
        papers_ask(actor=world.owner, pay_week=open_week.pk, now=LATER)
    with pytest.raises(NotFound):
        papers_ask(actor=other.owner, pay_week=week, now=LATER)
    with pytest.raises(NotFound):
        papers_part_make(organisation=other.organisation, pay_week=week, part=1, now=LATER)
    from dataclasses import replace

    with pytest.raises(NotAllowed):
        papers_ask(actor=replace(world.owner, role="foreman"), pay_week=week, now=LATER)


@pytest.mark.django_db
def test_papers_lie_in_a_folder_for_each_crew_and_each_lies_in_one(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(progress, "PER_PART", 2)
    world, week = closed_week()
    with transaction.atomic(), world.scope():
        people = list(Person.objects.order_by("name").values_list("pk", flat=True))
    for name, members in (("Yarrow/Nights", people[:2]), ("Bramble", people[1:4]), ("../", people[3:4])):
        crew_create(
            actor=world.owner, name=name, foreman=None, places=[CrewPlace(person) for person in members], now=LATER
        )
    with transaction.atomic(), world.scope():
        CrewMember.objects.filter(person_id=people[3], crew__name="Bramble").update(active=False)
    for part in (1, 2, 3):
        papers_part_make(organisation=world.organisation, pay_week=week, part=part, now=LATER)
    papers = files(world, week)
    assert sorted(name.rpartition("/")[0] for name in papers) == [
        "Bramble",
        "Bramble-and-Yarrow-Nights",
        "Yarrow-Nights",
        "no-crew",
        "no-crew",
    ]
    for name, paper in papers.items():
        # Person number 0 to 4 on the paper is who the folder is for.
        title = PdfReader(io.BytesIO(paper)).pages[0].extract_text()
        who = next(number for number in range(PEOPLE) if f"Person {number}" in title)
        assert name.startswith(
            ("Yarrow-Nights/", "Bramble-and-Yarrow-Nights/", "Bramble/", "no-crew/", "no-crew/")[who]
        )
