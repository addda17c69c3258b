"""A worker's whole way, from the mail that invites him to his statement, is in his language alone."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import datetime
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.core import mail
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Person, User
from jobs.permissions import allowed
from jobs.services.entries import entry_log
from jobs.services.invitations import invitation_mail, invitation_make
from jobs.services.passwords import password_changed_mail, password_reset_mail
from jobs.tenancy import organisation_scope
from jobs.wording import LANGUAGES, work_words
from tests.jobs.world import NOW, World, entry
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, PaidWeek
from tests.pages.test_every_page_keeps_its_door import WITHOUT_DOOR, addresses
from tests.support.spoken_pages import english, left_in_english, read

OTHERS = [language for language in LANGUAGES if language != "en"]
PASSWORD = "four studs and a door"
# As browsers send it: the language of a country first.
ASKED = {"es": "es-MX,es;q=0.9,en;q=0.8", "fr": "fr-CA,fr;q=0.9,en;q=0.8"}


def spoken(client: Client, address: str, language: str, **how: object) -> str:
    """A page's text, once it is seen that all of it is in the language."""
    answer = client.get(address, **how)
    return checked(answer.content.decode(), language)


def checked(page: str, language: str) -> str:
    assert read(page)[0] == language
    assert left_in_english(page, language) == []
    return html.unescape(page)


def stranger(language: str) -> Client:
    return Client(headers={"Accept-Language": ASKED[language]})


def speaks(world: World, language: str) -> None:
    """The worker chose this language before."""
    with transaction.atomic(), organisation_scope(world.organisation):
        Person.objects.filter(pk=world.people[0]).update(language=language)


def account(world: World) -> str:
    """The worker's e-mail, with a password to it."""
    user = User.objects.get(pk=world.actors["worker"].user)
    user.set_password(PASSWORD)
    user.save(update_fields=["password"])
    return user.email


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_looked_for_is_there_in_english(language: str, world: World) -> None:
    # The list is all of the catalogue that differs; on the English page it is found.
    assert len(english(language)) > 300
    page = Client().get(reverse("sign-in")).content.decode()
    assert {"Sign in", "Password", "Forgotten password"} <= set(left_in_english(page, language))


@pytest.mark.parametrize("language", OTHERS)
def test_from_sign_in_to_dispute_and_statement(language: str, world: World, paid: PaidWeek) -> None:
    speaks(world, language)
    email, words = account(world), work_words(language).labels
    client = stranger(language)
    assert words["forgotten_password"] in spoken(client, reverse("sign-in"), language)
    wrong = client.post(reverse("sign-in"), {"email": email, "password": "another one"})
    assert wrong.status_code == 400
    assert "do not belong together" not in checked(wrong.content.decode(), language)
    first = client.post(reverse("sign-in"), {"email": email, "password": PASSWORD}, follow=True)
    assert words["my_statements"] in checked(first.content.decode(), language)
    page = spoken(client, reverse("my-work"), language)
    form = dict(re.findall(r'<input type="hidden" name="(uuid|about)" value="([^"]+)"', page))
    refused = client.post(reverse("my-work"), {**form, "says": "disputed", "reason": ""})
    assert refused.status_code == 400
    assert words["not_recorded"] in checked(refused.content.decode(), language)
    assert f"[{words['in_english']}]" not in refused.content.decode()
    said = client.post(reverse("my-work"), {**form, "says": "disputed", "reason": "12 m"}, follow=True)
    assert words["recorded"] in checked(said.content.decode(), language)
    assert words["says.disputed"] in said.content.decode()
    spoken(client, reverse("statement", args=[paid.statements[world.people[0]]]), language)
    signed_out = client.post(reverse("sign-out"), follow=True)
    assert words["sign_in"] in checked(signed_out.content.decode(), language)


@pytest.mark.parametrize("language", OTHERS)
def test_every_page_that_is_open_to_him_speaks_it(
    language: str, world: World, paid: PaidWeek, clock: Callable[[datetime], None]
) -> None:
    clock(AFTER)
    speaks(world, language)
    client = signed_in(world.actors["worker"])
    seen = set()
    for name, address in addresses(world, paid).items():
        answer = client.get(address, headers={"Accept-Language": ASKED[language]}, follow=True)
        if answer.get("Content-Type", "").startswith("text/html") and name not in WITHOUT_DOOR:
            seen.add(name)
            # What is not for him is refused in his language too.
            assert answer.status_code == (200 if allowed(name, "GET", "worker") else 403), name
            if name not in ENGLISH:
                checked(answer.content.decode(), language)
    assert {"my-work", "statements", "statement", "entry", "account", "devices", "weeks"} <= seen


# A wall's page is the plan in words: lengths, cuts and reasons as the count gives them.
ENGLISH = {"wall"}


@pytest.mark.parametrize("language", OTHERS)
def test_the_ways_in_speak_what_the_browser_asks_for(language: str, world: World) -> None:
    client = stranger(language)
    for name, parts in (
        ("password-forgotten", {}), ("password-mailed", {}), ("password-new", {"uidb64": "MQ", "token": "no-token"}),
        ("invitation", {}),
    ):  # fmt: skip
        spoken(client, reverse(name, kwargs=parts), language)
    assert client.get("/nowhere/").status_code == 404
    spoken(client, "/nowhere/", language)
    no_address = client.post(reverse("password-forgotten"), {"email": "nobody"})
    assert no_address.status_code == 400
    checked(no_address.content.decode(), language)
    forged = Client(enforce_csrf_checks=True, headers={"Accept-Language": ASKED[language]})
    old = forged.post(reverse("sign-in"), {"email": "a@example.org", "password": "b"})
    assert old.status_code == 403
    checked(old.content.decode(), language)


@pytest.mark.parametrize("language", OTHERS)
def test_an_invitation_comes_in_the_language_the_office_gave_him(language: str, world: World) -> None:
    speaks(world, language)
    made = invitation_make(actor=world.owner, email="neu@example.org", role="worker", person=world.people[0], now=NOW)
    assert invitation_mail(organisation=world.organisation, invitation=made.pk, now=NOW)
    letter = mail.outbox[-1]
    assert work_words(language).label("invites_you", organisation="Alder & Quill Interiors") == letter.subject
    assert "accept" not in letter.body.replace("/invitation/", "").lower() or language == "fr"
    link = re.search(r"(/invitation/\S+)", letter.body)
    assert link
    # The phone itself may ask for English.
    client = Client(headers={"Accept-Language": "en-US"})
    page = checked(client.get(link[1], follow=True).content.decode(), language)
    assert work_words(language).labels["ten_letters"] in page
    short = client.post(reverse("invitation"), {"password": "1234567"})
    assert short.status_code == 400
    said = checked(short.content.decode(), language)
    assert f"[{work_words(language).labels['in_english']}]" not in said
    client.post(reverse("invitation"), {"password": PASSWORD})
    spoken(client, reverse("my-work"), language)


def test_the_language_in_which_an_invitation_was_read_becomes_his_own(world: World) -> None:
    made = invitation_make(actor=world.owner, email="neu@example.org", role="worker", person=world.people[0], now=NOW)
    assert invitation_mail(organisation=world.organisation, invitation=made.pk, now=NOW)
    link = re.search(r"/invitation/([\w-]{43})/", mail.outbox[-1].body)
    assert link
    client = stranger("fr")
    client.get(reverse("invitation-link", args=[link[1]]))
    client.post(reverse("invitation"), {"password": PASSWORD})
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Person.objects.get(pk=world.people[0]).language == "fr"


@pytest.mark.parametrize("language", OTHERS)
def test_mails_about_his_password_are_in_the_language_he_asked_in(language: str, world: World) -> None:
    user = User.objects.get(pk=world.actors["worker"].user)
    assert password_reset_mail(email=user.email, language=language)
    assert password_changed_mail(user=user.pk, language=language)
    words = work_words(language)
    reset, changed = mail.outbox[-2:]
    assert (reset.subject, changed.subject) == (words.labels["mail_reset"], words.labels["mail_changed"])
    assert words.labels["mail_reset_leave"] in reset.body
    assert words.label("mail_changed_is", email=user.email) in changed.body


def test_the_choice_at_the_foot_holds_before_and_after_signing_in(world: World, paid: PaidWeek) -> None:
    client = Client(headers={"Accept-Language": "en"})
    assert 'name="language" value="es"' in client.get(reverse("sign-in")).content.decode()
    answer = client.post(reverse("language"), {"language": "es", "next": reverse("sign-in")})
    assert answer["Location"] == reverse("sign-in")
    assert answer.cookies[settings.LANGUAGE_COOKIE_NAME]["httponly"]
    spoken(client, reverse("sign-in"), "es")
    # It leads nowhere else, and takes no language that is not spoken.
    away = client.post(reverse("language"), {"language": "fr", "next": "https://example.org/"})
    assert away["Location"] == reverse("home")
    assert not client.post(reverse("language"), {"language": "de"}).cookies
    # Signed in, the person's own language is spoken, whatever the browser was told.
    client.force_login(User.objects.get(pk=world.actors["worker"].user))
    assert read(client.get(reverse("my-work")).content.decode())[0] == "en"
    client.post(reverse("language"), {"language": "es"})
    spoken(client, reverse("my-work"), "es")


def test_who_is_not_paid_here_is_spoken_to_in_english(world: World) -> None:
    page = signed_in(world.actors["office"]).get(reverse("account"), headers={"Accept-Language": "es"})
    if world.actors["office"].person is None:
        assert read(page.content.decode())[0] == "en"
        assert 'name="language"' not in page.content.decode()


def test_a_refusal_names_what_it_is_about_in_his_language(world: World) -> None:
    asked = entry(world, world.unit("A", "TRACK"), "10")
    entry_log(actor=world.foreman, request=asked, now=NOW)
    speaks(world, "es")
    client = signed_in(world.actors["worker"])
    page = html.unescape(client.get(reverse("entry", args=[UUID(int=7)])).content.decode())
    # From memory.
    assert "No se encontró: anotación 00000000-0000-0000-0000-000000000007." in page
    uuid = str(uuid4())
    for reason in ("falta una pared", "sobra una pared"):
        answer = client.post(
            reverse("my-work"), {"uuid": uuid, "about": asked.uuid, "says": "disputed", "reason": reason}
        )
    assert answer.status_code == 400
    assert "Este envío ya se recibió con otras palabras." in html.unescape(answer.content.decode())
