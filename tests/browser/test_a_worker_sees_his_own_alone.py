"""A worker: his statement, line by line to the wall; never another's, and nothing of another organisation."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Open, Site

pytestmark = pytest.mark.browser


def test_from_a_line_to_its_entry_its_wall_and_the_rule(site: Site, browser: Open) -> None:
    with browser("worker", width=PHONE) as window:
        page = window.page
        page.get_by_role("link", name="16 November 2026 to 22 November 2026").first.tap()
        page.get_by_role("heading", name="Person 1").wait_for()
        page.get_by_text("because; entries behind it: 1").first.tap()
        page.locator("table.inner:visible").get_by_role("link", name="open").tap()
        page.get_by_role("heading", name="What it stands on").wait_for()
        assert "Person 1" in page.locator("main").inner_text()
        assert "Person 2" not in page.locator("main").inner_text()
        page.get_by_role("link", name="wall A").tap()
        page.get_by_role("heading", name="Wall A", exact=True).wait_for()
        page.locator("summary", has_text="because").first.tap()
        assert "source:" in page.locator("ul.because:visible").first.inner_text()
        assert window.said == []


def test_anothers_statement_is_not_there(site: Site, browser: Open) -> None:
    another = site.paid.statements[site.world.people[1]]
    with browser("worker") as window:
        window.go(f"/statements/{another}/")
        assert "Not found" in window.page.locator("h1").inner_text()
        assert "Person 2" not in window.page.locator("body").inner_text()


def test_another_organisation_sees_none_of_it(site: Site, browser: Open) -> None:
    statement = site.paid.statements[site.world.people[0]]
    with browser("owner", world=site.other) as window:
        for path in (
            f"/statements/{statement}/",
            f"/jobs/{site.world.job}/",
            f"/entries/{site.paid.entries['BOARD']}/",
        ):
            window.go(path)
            assert "Not found" in window.page.locator("h1").inner_text()
