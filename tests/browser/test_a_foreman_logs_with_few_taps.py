"""A foreman with a phone: an entry in four taps, once even when he taps twice, and by keyboard alone."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.models import Entry
from jobs.tenancy import organisation_scope
from tests.browser.conftest import PHONE, Open, Site
from tests.jobs.world import unit_now

pytestmark = pytest.mark.browser


def entries_on(site: Site, unit: int) -> list[Decimal]:
    with transaction.atomic(), organisation_scope(site.world.organisation):
        return list(Entry.objects.filter(work_unit=unit).values_list("quantity", flat=True))


def test_all_that_is_left_takes_four_taps(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "STUDS")
    with browser("foreman", width=PHONE) as window:
        page, started = window.page, time.monotonic()
        page.get_by_role("link", name="Log finished work").tap()
        page.get_by_role("link", name="B", exact=False).filter(has=page.locator("strong", has_text="B")).tap()
        page.get_by_role("link", name="stand studs").tap()
        page.get_by_role("button", name="Record").tap()
        page.get_by_role("heading", name="Recorded:").wait_for()
        took = time.monotonic() - started
        assert "stand studs" in page.locator("h1").inner_text()
        assert window.said == []
    measured = unit_now(site.world, unit).measured
    assert entries_on(site, unit) == [measured]
    # The aim is an entry in twenty seconds with a thumb; the pages themselves may take no more than a part of it.
    assert took < 10


def test_tapping_twice_records_once(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "TRACK")
    with browser("foreman", width=PHONE) as window:
        window.go(f"/work-units/{unit}/log/")
        window.page.get_by_role("button", name="Record").dblclick()
        window.page.get_by_role("heading", name="Recorded:").wait_for()
        # Going back shows the work unit as it is now, not a form to send once more.
        window.page.go_back()
        window.page.get_by_text("Nothing is left").wait_for()
    assert len(entries_on(site, unit)) == 1


def test_an_over_claim_keeps_what_was_typed(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "BOARD", "left")
    with browser("foreman", width=PHONE) as window:
        page = window.page
        window.go(f"/work-units/{unit}/log/")
        page.get_by_label("A part of it").check()
        page.get_by_label("Quantity in sq ft").fill("9999")
        page.get_by_role("button", name="Record").tap()
        alert = page.get_by_role("alert")
        alert.wait_for()
        assert "9999 asked" in alert.inner_text()
        assert page.get_by_label("Quantity in sq ft").input_value() == "9999"
        page.get_by_label("Quantity in sq ft").fill("20")
        page.get_by_role("button", name="Record").tap()
        page.get_by_role("heading", name="Recorded: 20 sq ft").wait_for()
    assert entries_on(site, unit) == [Decimal(20)]


def test_the_keyboard_alone_records_an_entry(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "BOARD", "right")
    with browser("foreman") as window:
        page = window.page
        window.go(f"/work-units/{unit}/log/")
        assert page.get_by_label("Quantity in sq ft").is_visible()
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
        page.keyboard.press("Enter")
        for _ in range(20):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.textContent") == "Record":
                break
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Recorded:").wait_for()
        assert outline == "solid"
    assert len(entries_on(site, unit)) == 1


def test_hours_of_a_crew_are_recorded(site: Site, browser: Open) -> None:
    with browser("foreman", width=PHONE) as window:
        page = window.page
        window.go(f"/jobs/{site.world.job}/hours/")
        page.get_by_label("Person 2").fill("7:30")
        page.get_by_role("button", name="Record hours").tap()
        page.get_by_role("status").wait_for()
        assert "7:30" in page.locator("main").inner_text()
        assert window.said == []
