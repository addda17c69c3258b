"""A site with a paid week, and browsers signed in at it.

Playwright keeps an event loop running in this thread, in which Django refuses its database: records are made before
the browser starts and read after it has ended.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Page, sync_playwright

from jobs.models import User
from tests.jobs.world import World, two_worlds
from tests.pages.paid_week import PaidWeek, pay_a_week
from tests.support.needs import chromium

PASSWORD = "correct horse on a wall"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE, DESK = 360, 1280


@dataclass
class Window:
    """A page of the browser, and what its console said."""

    page: Page
    address: str
    said: list[str] = field(default_factory=list)

    def go(self, path: str) -> None:
        self.page.goto(self.address + path)


@dataclass(frozen=True)
class Site:
    """The running site, two organisations in it, and the paid week of the first."""

    address: str
    world: World
    other: World
    paid: PaidWeek

    def email(self, role: str, world: World | None = None) -> str:
        return self._emails[(world or self.world).organisation, role]

    _emails: dict[tuple[int, str], str] = field(default_factory=dict)


@pytest.fixture
def site(live_site: str, committed_db: None) -> Site:
    world, other, _ = two_worlds()
    emails = {}
    for of in (world, other):
        for role, actor in of.actors.items():
            user = User.objects.get(pk=actor.user)
            user.set_password(PASSWORD)
            user.save(update_fields=["password"])
            emails[of.organisation, role] = user.email
    return Site(live_site, world, other, pay_a_week(world), emails)


Open = Callable[..., AbstractContextManager[Window]]


@pytest.fixture
def browser(site: Site) -> Open:
    """`with browser("foreman", width=360) as window`: a fresh browser, signed in unless `role` is empty."""

    @contextmanager
    def opened(role: str = "", width: int = DESK, world: World | None = None) -> Iterator[Window]:
        with sync_playwright() as playwright:
            chrome = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
            page = chrome.new_page(viewport={"width": width, "height": 740}, has_touch=width == PHONE)
            window = Window(page, site.address)
            page.on("console", lambda message: window.said.append(f"{message.type}: {message.text}"))
            page.on("pageerror", lambda error: window.said.append(str(error)))
            if role:
                window.go("/sign-in/")
                page.get_by_label("E-mail").fill(site.email(role, world))
                page.get_by_label("Password").fill(PASSWORD)
                page.get_by_role("button", name="Sign in").click()
                page.wait_for_url(lambda url: "sign-in" not in url)
            yield window
            chrome.close()

    return opened
