"""A phone without signal: the log pages open from what it was told last, entries wait in its outbox, and each is
counted once when the signal is back, even where the site had it already and only the answer was lost."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from playwright.sync_api import Page, Route

from jobs.models import Entry, Receipt
from jobs.tenancy import organisation_scope
from tests.browser.conftest import PHONE, Open, Site, Window
from tests.browser.test_every_page_can_be_read import AUDIT
from tests.jobs.world import unit_now
from tests.pages.conftest import signed_in

pytestmark = pytest.mark.browser


def until(page: Page, asked: str) -> None:
    """Wait for an expression to be true. Playwright's own waiting evaluates text in the page, which its policy bars."""
    for _ in range(300):
        if page.evaluate(asked):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never true: {asked}")


def ready(window: Window) -> Page:
    """A page with its worker in charge and everything fetched that the phone is told."""
    window.go("/")
    window.page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    window.go("/")
    until(window.page, "Boolean(navigator.serviceWorker.controller)")
    until(
        window.page,
        "async () => Boolean(await Store.fact('fetched'))",
    )
    return window.page


def line(page: Page) -> str:
    return page.locator("#outbox-line span").inner_text()


def record_without_signal(page: Page) -> None:
    page.get_by_role("button", name="Record").click()
    page.wait_for_url("**/outbox/?kept")
    page.locator("#outbox-list li").first.wait_for()


def logged(site: Site, *units: int) -> list[tuple[Decimal, UUID]]:
    with transaction.atomic(), organisation_scope(site.world.organisation):
        return list(Entry.objects.filter(work_unit__in=units).order_by("pk").values_list("quantity", "uuid"))


def test_entries_made_without_signal_are_sent_once_when_it_is_back(site: Site, browser: Open) -> None:
    studs, board = site.world.unit("B", "STUDS"), site.world.unit("B", "BOARD", "right")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.context.set_offline(True)
        page.goto(f"{window.address}/jobs/{site.world.job}/log/")
        assert "no signal" in page.locator("#no-signal").inner_text()
        assert page.evaluate(AUDIT) == []
        page.get_by_role("link", name="B", exact=False).filter(has=page.locator("strong", has_text="B")).click()
        page.get_by_role("link", name="stand studs").click()
        assert page.evaluate(AUDIT) == []
        record_without_signal(page)
        assert line(page) == "1 entry waits to be sent."
        assert "Wall B, stand studs: all that is left" in page.locator("#outbox-list").inner_text()
        # Another, told in sheets; then the phone is closed and opened again, still without signal.
        page.goto(f"{window.address}/work-units/{board}/log/")
        page.locator("#quantity").fill("1")
        page.get_by_label("Told in").select_option("sheets")
        record_without_signal(page)
        page.goto(f"{window.address}/outbox/")
        page.get_by_text("2 entries wait to be sent.").wait_for()
        page.context.set_offline(False)
        page.goto(f"{window.address}/outbox/")
        until(
            page,
            "document.querySelectorAll('#outbox-list li').length === 2 "
            "&& document.getElementById('outbox-line').hidden",
        )
        told = page.locator("#outbox-list").inner_text()
        assert told.count("sent") == 2
        assert "Board is logged while lay out and track stands at 0" in told
        page.reload()
        page.wait_for_load_state("networkidle")
    [(all_studs, _), (sheets, _)] = logged(site, studs, board)
    assert all_studs == unit_now(site.world, studs).measured
    # Derived: one of the three pieces of wall B's right face, 47.8123 / 3.
    assert sheets == Decimal("15.9374")


def test_sheets_are_told_by_number_without_signal(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "BOARD", "right")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.context.set_offline(True)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.get_by_text("once the entry was sent").wait_for()
        page.locator("#sheets").fill("9-13")
        page.get_by_role("button", name="Record").click()
        assert page.evaluate("document.querySelector('#sheets:invalid') !== null")
        page.locator("#sheets").fill("13, 9")
        assert page.locator("#by_sheets").is_checked()
        record_without_signal(page)
        assert "Wall B, hang board, right face: 9, 13 sheets" in page.locator("#outbox-list").inner_text()
        page.context.set_offline(False)
        page.goto(f"{window.address}/outbox/")
        until(page, "document.getElementById('outbox-line').hidden")
        page.wait_for_load_state("networkidle")
    with transaction.atomic(), organisation_scope(site.world.organisation):
        [said] = Entry.objects.filter(work_unit=unit).values_list("said", flat=True)
    assert said["steps"] == [9, 13]


def test_when_it_was_done_is_told_without_signal_by_the_clock_at_the_job(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "STUDS")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        # tz database, America/Chicago: 2026-03-08 had no hour from 2:00 to 3:00, 2026-11-01 has two from 1:00 to 2:00.
        for day, clock, moment in (
            ("2026-03-08", "03:00", "2026-03-08T08:00"),
            ("2026-11-01", "01:30", "2026-11-01T06:30"),
            ("2026-11-01", "03:00", "2026-11-01T09:00"),
        ):
            assert page.evaluate(f"momentOn('{day}', '{clock}', 'America/Chicago')") == f"{moment}:00.000Z"
        page.context.set_offline(True)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.get_by_text("When in the day it was done").click()
        page.locator("#started").fill("00:00")
        page.locator("#finished").fill("00:05")
        record_without_signal(page)
        page.context.set_offline(False)
        page.goto(f"{window.address}/outbox/")
        until(page, "document.getElementById('outbox-line').hidden")
        page.wait_for_load_state("networkidle")
    with transaction.atomic(), organisation_scope(site.world.organisation):
        entry = Entry.objects.select_related("job").get(work_unit=unit)
    here = ZoneInfo(entry.job.time_zone)
    clocks = [at.astimezone(here).isoformat()[:16] for at in (entry.started_at, entry.finished_at) if at]
    assert clocks == [f"{entry.worked_on}T00:00", f"{entry.worked_on}T00:05"]


def test_a_form_opened_with_signal_may_be_sent_without(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "STUDS")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.locator("#quantity").fill("2")
        assert page.locator("#part").is_checked()
        page.context.set_offline(True)
        record_without_signal(page)
        page.context.set_offline(False)
        page.goto(f"{window.address}/jobs/{site.world.job}/")
        until(page, "document.getElementById('outbox-line').hidden")
        page.wait_for_load_state("networkidle")
    assert [quantity for quantity, _ in logged(site, unit)] == [Decimal(2)]


def test_an_answer_lost_on_the_way_counts_nothing_twice(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "TRACK")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.locator("#quantity").fill("3 1/2")

        # The site receives the form; the phone never hears of it.
        def lose(route: Route) -> None:
            if route.request.method == "POST":
                route.fetch(max_redirects=0)
                route.abort()
            else:
                route.continue_()

        page.context.route("**/work-units/**", lose)
        record_without_signal(page)
        page.context.unroute("**/work-units/**")
        page.goto(f"{window.address}/outbox/")
        until(page, "document.getElementById('outbox-list').textContent.includes('sent')")
        assert page.locator("#outbox-line").is_hidden()
    [(quantity, uuid)] = logged(site, unit)
    assert quantity == Decimal("3.5")
    with transaction.atomic(), organisation_scope(site.world.organisation):
        assert Receipt.objects.filter(uuid=uuid).count() == 1


def test_what_is_refused_says_why_and_can_be_taken_off(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "STUDS")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.context.set_offline(True)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.locator("#quantity").fill("500")
        record_without_signal(page)
        page.context.set_offline(False)
        page.goto(f"{window.address}/outbox/")
        page.get_by_text("1 entry was refused.").wait_for()
        assert "500 asked" in page.locator("#outbox-list").inner_text()
        page.get_by_role("button", name="Take it off the list").click()
        page.get_by_text("Nothing waits on this phone.").wait_for()
    assert logged(site, unit) == []


def test_another_who_signs_in_on_the_phone_sends_nothing_of_the_first(site: Site, browser: Open) -> None:
    unit = site.world.unit("B", "STUDS")
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.context.set_offline(True)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        record_without_signal(page)
        # Signed out while there is no signal, or the foreman's entry would be sent at once, as it should.
        page.context.clear_cookies()
        page.context.set_offline(False)
        page.goto(f"{window.address}/sign-in/")
        page.get_by_label("E-mail").fill(site.email("office"))
        page.get_by_label("Password").fill("correct horse on a wall")
        page.get_by_role("button", name="Sign in").click()
        page.goto(f"{window.address}/outbox/")
        page.get_by_text("Nothing waits on this phone.").wait_for()
        page.wait_for_load_state("networkidle")
    assert logged(site, unit) == []


def sign_in_office(site: Site, page: Page) -> None:
    """The office signs in on the phone, where the foreman's session has ended without a word to his pages."""
    page.context.clear_cookies()
    page.goto(f"{site.address}/sign-in/")
    page.get_by_label("E-mail").fill(site.email("office"))
    page.get_by_label("Password").fill("correct horse on a wall")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "sign-in" not in url)


def waiting_of(page: Page, member: int | None) -> int:
    return page.evaluate(f"async () => (await Store.outbox({member})).filter((one) => one.state === 'waiting').length")


def test_a_page_of_the_first_that_is_still_open_sends_nothing_as_the_second(site: Site, browser: Open) -> None:
    unit, foreman = site.world.unit("B", "STUDS"), site.world.foreman.membership
    session = signed_in(site.world.actors["office"]).cookies["sessionid"].value
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        page.context.set_offline(True)
        page.goto(f"{window.address}/work-units/{unit}/log/")
        record_without_signal(page)
        # His page stays open; beside it, in another, the office signs in on this browser.
        page.context.add_cookies([{"name": "sessionid", "value": session, "url": window.address}])
        page.context.set_offline(False)
        with page.expect_response("**/api/sync/") as sent:
            page.evaluate("Outbox.work()")
        assert sent.value.status == 401
        assert waiting_of(page, foreman) == 1
        page.wait_for_load_state("networkidle")
    assert logged(site, unit) == []


def test_what_the_second_records_without_signal_is_his_own(site: Site, browser: Open) -> None:
    unit, foreman = site.world.unit("B", "STUDS"), site.world.foreman.membership
    office = site.world.actors["office"].membership
    with browser("foreman", width=PHONE) as window:
        page = ready(window)
        sign_in_office(site, page)
        window.go("/")
        until(page, f"async () => (await Store.fact('member')) === {office} && Boolean(await Store.fact('fetched'))")
        page.goto(f"{window.address}/work-units/{unit}/log/")
        page.wait_for_load_state("networkidle")
        # As where another page of the foreman's, still open, noted last who is in.
        page.evaluate(f"Store.note('member', {foreman})")
        page.locator("#quantity").fill("2")
        page.locator("#part").check()
        page.context.set_offline(True)
        page.get_by_role("button", name="Record").click()
        page.wait_for_url("**/outbox/?kept")
        assert waiting_of(page, office) == 1
        assert waiting_of(page, foreman) == 0
