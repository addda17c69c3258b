"""What the environment says is understood exactly or refused with a sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config import env

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12)


@given(name=TEXT, user=TEXT, password=st.just("") | TEXT, host=st.just("") | TEXT, port=st.just("") | st.just("5433"))
def test_a_database_url_reads_back_to_what_it_was_written_from(
    name: str, user: str, password: str, host: str, port: str
):
    settings = env.database("postgresql://x@y/z") | {
        "NAME": name, "USER": user, "PASSWORD": password, "HOST": host, "PORT": port, "OPTIONS": {"sslmode": "require"},
    }  # fmt: skip
    assert env.database(env.database_url(settings)) == settings


def test_a_socket_folder_may_be_given_as_the_host():
    read = env.database("postgresql://piecewall_app@/piecewall?host=/run/postgres")
    assert (read["HOST"], read["NAME"], read["USER"], read["PORT"]) == (
        "/run/postgres",
        "piecewall",
        "piecewall_app",
        "",
    )


@pytest.mark.parametrize(("url", "says"), [("mysql://a@b/c", "'mysql'"), ("postgresql://a@b", "no database name")])
def test_a_database_url_that_cannot_be_used_is_refused(url: str, says: str):
    with pytest.raises(env.EnvironmentMistake, match=says):
        env.database(url)


@pytest.mark.parametrize(("word", "means"), [("1", True), ("Yes", True), ("off", False), ("0", False), ("", True)])
def test_yes_and_no(monkeypatch: pytest.MonkeyPatch, word: str, means: bool):
    monkeypatch.setenv("PIECEWALL_TRIAL", word)
    assert env.flag("PIECEWALL_TRIAL", default=True) is means


def test_neither_yes_nor_no_is_refused(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("PIECEWALL_TRIAL", "maybe")
    with pytest.raises(env.EnvironmentMistake, match="PIECEWALL_TRIAL: 'maybe' is neither yes nor no"):
        env.flag("PIECEWALL_TRIAL", default=True)
