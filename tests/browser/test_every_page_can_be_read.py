"""Every page on a phone and on a desk: nothing runs out sideways, everything has a name, letters stand out.

The rules are those of WCAG 2.2 level AA as far as a machine can see them (from memory): 1.3.1 headings and tables,
1.4.3 contrast 4.5:1, or 3:1 for large letters, 1.4.10 reflow, 2.4.2 titles, 2.5.8 targets of 24 px, 4.1.2 names.
"""

from __future__ import annotations

import pytest

from tests.browser.conftest import DESK, PHONE, Open, Site
from tests.pages.test_every_page_keeps_its_door import addresses

pytestmark = pytest.mark.browser

FAULTS = (
    "sideways",
    "no title",
    "no language",
    "not one h1",
    "id twice",
    "no label",
    "no name",
    "no alternative",
    "skips a level",
    "faint",
    "letters of 8",
)
AUDIT = """
() => {
  const found = [];
  const shown = (e) => e.getClientRects().length && getComputedStyle(e).visibility !== 'hidden';
  const say = (what, e) => found.push(what + ': ' + e.outerHTML.slice(0, 120));
  const over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (over > 0) found.push('runs out sideways by ' + over + ' px');
  if (!document.title.trim()) found.push('no title');
  if (!['en', 'es', 'fr'].includes(document.documentElement.lang)) found.push('no language');
  if (document.querySelectorAll('h1').length !== 1) found.push('not one h1');
  if (document.querySelectorAll('main').length !== 1) found.push('not one main');
  if (document.querySelectorAll('script:not([src])').length) found.push('a script within the page');
  const named = e => (e.getAttribute('aria-labelledby') || '').split(' ')
    .some(id => id && document.getElementById(id)?.textContent.trim());
  const acts = document.querySelectorAll('main .act, main button:not(.plain)').length;
  if (acts > 1) found.push('more than one main action');
  const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
  for (const id of ids) if (ids.indexOf(id) !== ids.lastIndexOf(id)) found.push('id twice: ' + id);
  for (const e of document.querySelectorAll('input:not([type=hidden]), select, textarea'))
    if (![...(e.labels || [])].some(l => l.textContent.trim())) say('no label', e);
  for (const e of document.querySelectorAll('a, button, summary'))
    if (!e.textContent.trim() && !e.getAttribute('aria-label')) say('no name', e);
  for (const e of document.querySelectorAll('img'))
    if (!e.alt) say('no alternative', e); else if (!e.naturalWidth) say('not loaded', e);
  for (const e of document.querySelectorAll('svg'))
    if (e.getAttribute('aria-hidden') !== 'true' && !(e.getAttribute('aria-label') || named(e)))
      say('no alternative', e);
  for (const e of document.querySelectorAll('thead th')) if (!e.scope) say('no scope', e);
  for (const e of document.querySelectorAll('[tabindex]')) if (e.tabIndex > 0) say('jumps the order', e);
  for (const e of document.querySelectorAll('[aria-describedby]'))
    for (const id of e.getAttribute('aria-describedby').split(' '))
      if (!document.getElementById(id)) say('describes nothing', e);
  for (const e of document.querySelectorAll('button, .act, input:not([type=hidden]), select, summary, nav a'))
    if (shown(e) && e.getBoundingClientRect().height < 24) say('target under 24 px', e);
  let level = 0;
  for (const e of document.querySelectorAll('h1, h2, h3')) {
    const now = Number(e.tagName[1]);
    if (now > level + 1) say('skips a level', e);
    level = now;
  }
  const parts = (c) => (c.match(/[\\d.]+/g) || [0, 0, 0, 0]).map(Number);
  const light = (c) => {
    const linear = (v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    const [r, g, b] = parts(c).slice(0, 3).map(v => linear(v / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const c = getComputedStyle(e).backgroundColor;
      const p = parts(c);
      if (!(p.length === 4 && p[3] === 0)) return c;
    }
    return 'rgb(255, 255, 255)';
  };
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || !shown(e) || e.closest('svg')) continue;
    const style = getComputedStyle(e), size = parseFloat(style.fontSize);
    const [a, b] = [light(style.color), light(ground(e))].sort((x, y) => y - x);
    const least = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) ? 3 : 4.5;
    if ((a + 0.05) / (b + 0.05) < least) say('faint', e);
    if (size < 11) say('letters of ' + size + ' px', e);
  }
  return found;
}
"""


def paths(site: Site) -> dict[str, str]:
    """Every page that shows something of its own."""
    # Of the addresses that need a token of a mail, the browser would report the 404 for one made up.
    papers = {
        "password-new",
        "invitation",
        "invitation-link",
        "accent",
        "icon",
        "service-worker",
        "statement-pdf",
        "statement-csv",
        "week-csv",
        "price-list-csv",
        "week-papers-file",
        "payroll-file",
        "report-pdf",
        "report-chart",
        "wall-drawing",
        "photo",
        "certified-pdf",
        "certified-csv",
        "sign-in",
        "sign-out",
        "choose-organisation",
    }
    return {name: path for name, path in addresses(site.world, site.paid).items() if name not in papers}


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_pages_of_the_office(site: Site, browser: Open, width: int) -> None:
    wanted = paths(site)
    found: dict[str, list[str]] = {}
    with browser("owner", width=width) as window:
        for name, path in wanted.items():
            window.go(path)
            found[name] = window.page.evaluate(AUDIT)
            # Folded parts are read too.
            window.page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
            found[f"{name}, unfolded"] = window.page.evaluate(AUDIT)
        said = window.said
    assert {name: faults for name, faults in found.items() if faults} == {}
    assert said == []


def test_pages_before_and_beside_signing_in(site: Site, browser: Open) -> None:
    with browser(width=PHONE) as window:
        window.go("/sign-in/")
        assert window.page.evaluate(AUDIT) == []
        window.page.get_by_label("E-mail").fill("nobody@example.org")
        window.page.get_by_label("Password").fill("wrong")
        window.page.get_by_role("button", name="Sign in").click()
        window.page.get_by_role("alert").wait_for()
        assert window.page.evaluate(AUDIT) == []
    with browser("worker", width=PHONE) as window:
        for path in (
            "/statements/",
            f"/statements/{site.paid.statements[site.world.people[0]]}/",
            "/weeks/",
            "/nothing/",
        ):
            window.go(path)
            assert window.page.evaluate(AUDIT) == [], path


# What a thumb meets on a worker's own page: at least 44 px high (WCAG 2.2, 2.5.5, level AAA, from memory).
SMALL = """
() => [...document.querySelectorAll('main summary, main button, main input:not([type=hidden]), .tongue button')]
  .filter(e => e.getClientRects().length && e.getBoundingClientRect().height < 44).map(e => e.outerHTML.slice(0, 120))
"""


@pytest.mark.parametrize("language", ["es", "fr"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_workers_way_in_another_language(site: Site, browser: Open, language: str, width: int) -> None:
    statement = site.paid.statements[site.world.people[0]]
    with browser(width=width) as window:
        for path in ("/sign-in/", "/password/forgotten/", "/password/mailed/", "/"):
            window.go(path)
            window.page.locator(f".tongue [value={language}]").click()
            window.page.locator(f"html[lang={language}]").wait_for()
            assert window.page.evaluate(AUDIT) == [], path
    with browser("worker", width=width) as window:
        window.go("/statements/")
        window.page.locator(f".tongue [value={language}]").click()
        window.page.locator(f"html[lang={language}]").wait_for()
        # The choice is kept: all else comes in it too.
        entry = f"/entries/{site.paid.entries['BOARD']}/"
        for path in ("/my-work/", "/account/", "/account/password/", "/account/second-factor/", "/devices/", entry):
            window.go(path)
            assert window.page.locator(f"html[lang={language}]").count() == 1
            window.page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
            assert [fault for fault in window.page.evaluate(AUDIT) if "main action" not in fault] == [], path
            if path == "/my-work/":
                assert window.page.evaluate(SMALL) == []
        window.go(f"/statements/{statement}/")
        window.page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
        assert window.page.evaluate(AUDIT) == []
        window.page.locator(".check-code a").click()
        window.page.locator("#gross").wait_for()
        assert window.page.evaluate(AUDIT) == []


def test_paper_leaves_out_what_is_for_the_screen(site: Site, browser: Open) -> None:
    with browser("worker") as window:
        window.go(f"/statements/{site.paid.statements[site.world.people[0]]}/")
        window.page.emulate_media(media="print")
        assert not window.page.locator("nav").first.is_visible()
        assert window.page.get_by_role("heading", name="Lines").is_visible()
        assert window.page.pdf(format="Letter").startswith(b"%PDF")


def test_the_audit_finds_faults(browser: Open) -> None:
    # The audit itself is tried on a bad page, or its silence would say nothing.
    bad = (
        "<html><body><main><h2 id=a>Skipped</h2><p id=a style='color:#999;font-size:8px'>faint</p>"
        "<input><a href=#></a><img src=x><div style='width:3000px'>wide</div></main></body></html>"
    )
    with browser() as window:
        window.page.set_content(bad)
        found = " ".join(window.page.evaluate(AUDIT))
    for fault in FAULTS:
        assert fault in found, fault
