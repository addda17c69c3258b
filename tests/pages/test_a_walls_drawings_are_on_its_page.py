"""A wall's page holds the engine's own drawings, told to those who do not see them; each opens on its own address."""

from __future__ import annotations

from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from django.db import transaction
from django.urls import reverse

from jobs.geometry import WallDrawing, wall_drawings
from jobs.models import Wall
from jobs.selectors.wall_sheet import kept_walls, wall_sheet
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, PLAN, World, plan_bytes
from tests.pages.conftest import signed_in

SVG = "{http://www.w3.org/2000/svg}"


def wall_id(world: World, mark: str) -> int:
    with organisation_scope(world.organisation):
        return Wall.objects.get(mark=mark).pk


def drawn(world: World, mark: str) -> tuple[WallDrawing, ...]:
    with transaction.atomic(), organisation_scope(world.organisation):
        kept = kept_walls(world.owner, world.job, wall_id(world, mark))
    return wall_drawings(kept.level, kept.walls, kept.mark, is_metric=kept.unit_system == "metric")


def page_of(world: World, mark: str) -> str:
    answer = signed_in(world.foreman).get(reverse("wall", args=[world.job, wall_id(world, mark)]))
    assert answer.status_code == 200
    return answer.content.decode()


def groups(svg: str, kind: str) -> list[str]:
    """The names of the parts of a kind."""
    root = ElementTree.fromstring(svg)  # noqa: S314
    return [one.findtext(f"{SVG}title", "") for one in root.iter(f"{SVG}g") if one.get("class") == kind]


@pytest.mark.parametrize("mark", ["A", "B"])
def test_the_page_holds_every_elevation_and_links_to_the_rest(world: World, mark: str):
    page, made = page_of(world, mark), drawn(world, mark)
    assert {one.kind for one in made} == {"elevation", "detail", "card"}
    for one in made:
        assert (one.svg in page) == (one.kind == "elevation")
        assert f'href="{reverse("wall-drawing", args=[world.job, wall_id(world, mark), one.name])}"' in page


def test_each_stud_and_opening_of_the_wall_is_drawn_once(world: World):
    steel = drawn(world, "B")[0].svg
    with transaction.atomic(), organisation_scope(world.organisation):
        sheet = wall_sheet(world.owner, world.job, wall_id(world, "B"))
    assert len(groups(steel, "stud")) == len(sheet.studs)
    [door] = groups(steel, "opening")
    assert "D1" in door  # The plan's only opening.


def test_every_drawing_on_the_page_has_a_title_and_says_what_it_shows(world: World):
    for one in drawn(world, "B"):
        root = ElementTree.fromstring(one.svg)  # noqa: S314
        title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None and told is not None
        assert (title.text, told.text) == (one.title, one.told)
        assert root.get("role") == "img"
        assert root.get("aria-labelledby", "").split() == [title.get("id"), told.get("id")]


class Ids(HTMLParser):
    """Ids, and attributes that the page's content policy would not obey."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.refused: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.refused += [name for name, _ in attrs if name == "style" or name.startswith("on")]
        self.refused += [tag] if tag == "style" else []


def test_no_id_stands_twice_and_nothing_needs_a_wider_content_policy(world: World):
    found = Ids()
    found.feed(page_of(world, "B"))
    assert len(found.ids) == len(set(found.ids))
    assert found.refused == []


def test_a_drawing_opens_on_its_own_address_for_who_may_see_the_wall(world: World, other: World):
    for one in drawn(world, "B"):
        address = reverse("wall-drawing", args=[world.job, wall_id(world, "B"), one.name])
        answer = signed_in(world.foreman).get(address)
        assert (answer.status_code, answer["Content-Type"]) == (200, "image/svg+xml; charset=utf-8")
        assert answer.content.decode() == one.svg
        assert "default-src 'none'" in answer["Content-Security-Policy"]
        assert signed_in(other.owner).get(address).status_code == 404
    missing = reverse("wall-drawing", args=[world.job, wall_id(world, "B"), "B-nothing"])
    assert signed_in(world.foreman).get(missing).status_code == 404


def test_a_mark_with_odd_letters_is_drawn_and_kept_as_words(world: World):
    walls = [dict(wall) for wall in PLAN["levels"][0]["walls"]]
    walls[0]["mark"], odd = "A/1 <b>&", "A/1 <b>&"
    levels = [{"name": "Level 1", "walls": walls, "junctions": [{"walls": [odd, "B"], "through": odd}]}]
    plan_import(actor=world.owner, job=world.job, source=plan_bytes(levels=levels), source_name="room.json", now=NOW)
    assert "<b>&" not in page_of(world, odd)
    for one in drawn(world, odd):
        address = reverse("wall-drawing", args=[world.job, wall_id(world, odd), one.name])
        assert signed_in(world.foreman).get(address).content.decode() == one.svg
