"""Second factors: set up, asked at the sign-in, good once, guessed at, recovered, required by an organisation, ended.

Sources: RFC 6238 (TOTP; test vectors of appendix B, a code is accepted once: 5.2), RFC 4226 (the code from the digest),
NIST SP 800-63B 5.1.2.2 and 5.2.2, OWASP Multifactor Authentication Cheat Sheet.
"""

from __future__ import annotations

import hmac
import re
from base64 import b32decode
from collections.abc import Callable
from datetime import timedelta
from io import StringIO
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django_otp.plugins.otp_static.models import StaticToken

from jobs.models import AuditRecord, Organisation, SecondFactor, User
from jobs.refusals import Conflict, NotAllowed
from jobs.services.second_factors import (
    code_check,
    factor_begin,
    factor_confirm,
    factor_remove,
    second_factor_require,
)
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World, make_world
from tests.pages.conftest import signed_in
from tests.support.at_once import at_once

PASSWORD = "correct horse on a wall"
START = 1_790_000_010
Clock = Callable[[int], None]


def code_at(key: bytes, at: int, digits: int = 6) -> str:
    """RFC 4226, 5.3, with the moving factor of RFC 6238, 4.2: written anew here, without the library under test."""
    digest = hmac.digest(key, (at // 30).to_bytes(8, "big"), "sha1")
    place = digest[-1] & 0xF
    number = int.from_bytes(digest[place : place + 4], "big") & 0x7FFFFFFF
    return str(number % 10**digits).zfill(digits)


@pytest.fixture
def app_clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Set the time by which codes are looked at."""

    def set_to(seconds: int) -> None:
        monkeypatch.setattr("django_otp.plugins.otp_totp.models.time", SimpleNamespace(time=lambda: float(seconds)))

    set_to(START)
    return set_to


@pytest.fixture
def user(world: World) -> User:
    user = User.objects.get(pk=world.owner.user)
    user.set_password(PASSWORD)
    user.save(update_fields=["password"])
    return user


def enrolled(user: User) -> tuple[bytes, list[str]]:
    """A second factor in force since START: its secret and the recovery codes."""
    key = factor_begin(user=user).bin_key
    return key, factor_confirm(user=user, code=code_at(key, START), now=NOW)


def half_in(user: User, client: Client | None = None, **request: str) -> Client:
    client = client or Client()
    answer = client.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD}, **request)
    assert answer["Location"] == reverse("sign-in-code")
    return client


def type_code(client: Client, code: str) -> int:
    return client.post(reverse("sign-in-code"), {"code": code}).status_code


@pytest.mark.parametrize(
    ("at", "code"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_codes_are_those_of_the_standard(
    user: User, app_clock: Clock, monkeypatch: pytest.MonkeyPatch, at: int, code: str
):
    # RFC 6238, appendix B, SHA-1: the secret is the text 12345678901234567890, codes have eight digits.
    monkeypatch.setattr(SecondFactor, "bin_key", b"12345678901234567890")
    factor = factor_begin(user=user)
    factor.digits = 8
    app_clock(at)
    assert code_at(factor.bin_key, at, digits=8) == code
    assert factor.verify_token(code)
    assert not factor.verify_token(code), "accepted once: RFC 6238, 5.2"


def test_it_is_set_up_on_the_page_with_what_the_page_shows(world: World, user: User, app_clock: Clock):
    client, elsewhere = signed_in(world.owner), signed_in(world.owner)
    page = reverse("second-factor")
    client.post(page, {"do": "begin"})
    shown = client.get(page).content.decode()
    assert "<svg" in shown
    found = re.search(r'id="key"[^>]*>([A-Z2-7 ]+)<', shown)
    assert found
    key = b32decode(found[1].replace(" ", ""))
    assert len(key) == 20
    assert client.post(page, {"do": "confirm", "code": "000000"}).status_code == 400
    done = client.post(page, {"do": "confirm", "code": code_at(key, START)}).content.decode()
    codes = re.findall(r"<li>([a-z2-7-]{19})</li>", done)
    assert len(set(codes)) == 10
    assert codes[0] not in client.get(page).content.decode()
    assert client.get("/").status_code == 200, "this session goes on"
    assert elsewhere.get("/").status_code == 302, "no other one does"
    with organisation_scope(world.organisation):
        assert AuditRecord.objects.filter(action="second_factor_start", subject_key=str(user.pk)).exists()


def test_the_password_alone_opens_nothing(user: User, app_clock: Clock):
    key, _ = enrolled(user)
    app_clock(START + 30)
    client = half_in(user)
    for page in ("/", reverse("members"), reverse("account"), reverse("second-factor")):
        assert client.get(page).status_code == 302
        assert client.get(page)["Location"].startswith(reverse("sign-in"))
    assert type_code(client, "000000") == 400
    assert client.get("/").status_code == 302
    assert type_code(client, code_at(key, START + 30)) == 302
    assert client.get("/").status_code == 200


def test_a_code_is_good_once_and_for_its_step_and_one_beside_it(user: User, app_clock: Clock):
    key, _ = enrolled(user)
    assert type_code(half_in(user), code_at(key, START)) == 400, "the one that confirmed it"
    app_clock(START + 90)
    assert type_code(half_in(user), code_at(key, START + 30)) == 400, "two steps old"
    used = code_at(key, START + 90)
    assert type_code(half_in(user), used) == 302
    assert type_code(half_in(user), used) == 400
    assert type_code(half_in(user), code_at(key, START + 60)) == 400, "older than one that was used"


def test_one_code_sent_by_two_at_once_is_right_once(committed_db: None, app_clock: Clock):
    user = User.objects.get(pk=make_world().owner.user)
    key, recovery = enrolled(user)
    app_clock(START + 60)
    for code in (code_at(key, START + 60), recovery[0]):
        assert sorted(at_once(lambda typed: code_check(user=user, code=typed), [code] * 8)) == [False] * 7 + [True]


@pytest.mark.parametrize("typed", ["", "12345", "1234567", "abcdef", "-00001", "１２３４５６", "1" * 5000, "0x1234"])
def test_what_is_no_code_is_wrong_and_breaks_nothing(user: User, app_clock: Clock, typed: str):
    enrolled(user)
    assert not code_check(user=user, code=typed)


def test_guessing_codes_is_slowed_and_leaves_the_owners_browser_in(user: User, app_clock: Clock):
    mine = Client()
    assert mine.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD}).status_code == 302
    key, _ = enrolled(user)
    app_clock(START + 60)
    # Somebody who has the password, from many networks.
    seen = [type_code(half_in(user, REMOTE_ADDR=f"10.2.{n}.1"), f"{n:06}") for n in range(7)]
    assert seen == [400] * 5 + [429] * 2
    assert type_code(half_in(user), code_at(key, START + 60)) == 429
    assert type_code(half_in(user, mine), code_at(key, START + 60)) == 302


def test_the_first_step_makes_no_browser_known(user: User, app_clock: Clock):
    enrolled(user)
    assert "known_browser" not in half_in(user).cookies


def test_the_half_of_a_sign_in_runs_out_and_dies_with_the_password(
    user: User, app_clock: Clock, clock: Callable[..., None]
):
    key, _ = enrolled(user)
    app_clock(START + 60)
    late, changed = half_in(user), half_in(user)
    user.refresh_from_db()
    user.set_password("seven sheets to the wind")
    user.save(update_fields=["password"])
    assert changed.post(reverse("sign-in-code"), {"code": code_at(key, START + 60)})["Location"] == reverse("sign-in")
    user.set_password(PASSWORD)
    user.save(update_fields=["password"])
    clock(NOW + timedelta(minutes=11))
    assert late.post(reverse("sign-in-code"), {"code": code_at(key, START + 60)})["Location"] == reverse("sign-in")
    assert late.get("/").status_code == 302


def test_a_recovery_code_stands_in_once_with_or_without_dashes(user: User, app_clock: Clock):
    _, codes = enrolled(user)
    assert type_code(half_in(user), codes[0].upper().replace("-", " ")) == 302
    assert type_code(half_in(user), codes[0]) == 400
    assert type_code(half_in(user), codes[1]) == 302


def test_neither_secret_nor_recovery_codes_stand_in_the_database(user: User, app_clock: Clock):
    key, codes = enrolled(user)
    kept = SecondFactor.objects.get(user=user)
    assert key.hex() not in kept.key
    digests = set(StaticToken.objects.filter(device__user=user).values_list("token", flat=True))
    assert len(digests) == 10
    assert not digests & {code.replace("-", "").upper() for code in codes}


def test_the_secret_of_one_user_is_not_that_of_another_with_the_same_salt(user: User, outsider: User):
    mine, theirs = factor_begin(user=user), factor_begin(user=outsider)
    theirs.key = mine.key
    assert mine.bin_key != theirs.bin_key
    assert mine.bin_key == SecondFactor.objects.get(pk=mine.pk).bin_key


def test_new_recovery_codes_and_the_end_of_it_ask_for_a_code(world: World, user: User, app_clock: Clock):
    key, codes = enrolled(user)
    app_clock(START + 60)
    client = half_in(user)
    type_code(client, code_at(key, START + 60))
    page = reverse("second-factor")
    for do in ("renew", "end"):
        assert client.post(page, {"do": do, "code": "000000"}).status_code == 400
    renewed = client.post(page, {"do": "renew", "code": codes[0]}).content.decode()
    fresh = re.findall(r"<li>([a-z2-7-]{19})</li>", renewed)
    assert len(fresh) == 10 and not set(fresh) & set(codes)
    assert not code_check(user=user, code=codes[1])
    assert client.post(page, {"do": "end", "code": fresh[0]})["Location"] == page
    assert not SecondFactor.objects.filter(user=user).exists()
    assert client.get("/").status_code == 200
    with organisation_scope(world.organisation):
        actions = set(AuditRecord.objects.values_list("action", flat=True))
    assert {"recovery_codes_renew", "second_factor_end"} <= actions


def test_a_session_cannot_guess_the_code_that_ends_it(user: User, app_clock: Clock):
    key, _ = enrolled(user)
    app_clock(START + 60)
    client = half_in(user)
    type_code(client, code_at(key, START + 60))
    seen = [client.post(reverse("second-factor"), {"do": "end", "code": f"{n:06}"}).status_code for n in range(7)]
    assert seen == [400] * 5 + [429] * 2


def test_a_second_one_is_not_set_up_over_the_first(user: User, app_clock: Clock):
    enrolled(user)
    with pytest.raises(Conflict):
        factor_begin(user=user)


def test_an_organisation_may_ask_it_of_owner_and_office(world: World, user: User, app_clock: Clock):
    second_factor_require(actor=world.owner, required=True, now=NOW)
    desk, field = signed_in(world.actors["office"]), signed_in(world.foreman)
    for page in ("/", reverse("members"), reverse("devices"), reverse("weeks")):
        assert desk.get(page)["Location"] == reverse("second-factor")
    assert field.get("/").status_code == 200
    assert "asks a second factor" in desk.get(reverse("second-factor")).content.decode()
    desk.post(reverse("second-factor"), {"do": "begin"})
    offered = SecondFactor.objects.get(user=world.actors["office"].user)
    desk.post(reverse("second-factor"), {"do": "confirm", "code": code_at(offered.bin_key, START)})
    assert desk.get(reverse("members")).status_code == 200
    app_clock(START + 60)
    desk.post(reverse("second-factor"), {"do": "end", "code": code_at(offered.bin_key, START + 60)})
    assert desk.get(reverse("members"))["Location"] == reverse("second-factor")


def test_only_an_owner_decides_that_and_another_organisation_is_left_alone(world: World, other: World):
    with pytest.raises(NotAllowed):
        second_factor_require(actor=world.actors["office"], required=True, now=NOW)
    signed_in(world.owner).post(reverse("second-factor-rule"), {"required": "1"})
    with organisation_scope(world.organisation):
        assert Organisation.objects.get(pk=world.organisation).second_factor_required
        assert AuditRecord.objects.filter(action="second_factor_require").exists()
    assert signed_in(other.owner).get("/").status_code == 200


def test_the_machines_keeper_ends_it_for_somebody_who_lost_everything(user: User, app_clock: Clock):
    enrolled(user)
    said = StringIO()
    call_command("second_factor_end", user.email, stdout=said)
    assert "with the password" in said.getvalue()
    with pytest.raises(CommandError, match="has no second factor"):
        call_command("second_factor_end", user.email)
    with pytest.raises(CommandError, match="is no user"):
        call_command("second_factor_end", "nobody@example.org")
    assert not factor_remove(user=user, how="again", now=NOW)
    client = Client()
    assert client.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD})["Location"] == reverse("home")
