"""Settings as another process reads them: on this machine alone, and for a site that others reach."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
KEY = "k3-" + "0123456789abcdefghijklmnopqrstuvwxyz" * 2
ASK = "import json; from config import settings as s; print(json.dumps({n: getattr(s, n) for n in %r}))"


def read(names: list[str], **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PIECEWALL_")}
    return subprocess.run(
        [sys.executable, "-c", ASK % names],
        check=False,
        cwd=PROJECT,
        env=clean | environment,
        capture_output=True,
        text=True,
    )


def test_a_public_site_without_a_secret_key_does_not_start():
    answer = read(["DEBUG"], PIECEWALL_HOSTS="pay.example.org")
    assert answer.returncode != 0
    assert "PIECEWALL_SECRET_KEY is not set" in answer.stderr


def test_a_short_secret_key_is_refused():
    answer = read(["DEBUG"], PIECEWALL_SECRET_KEY="short")
    assert answer.returncode != 0
    assert "PIECEWALL_SECRET_KEY has 5 characters" in answer.stderr


def test_a_public_site_keeps_cookies_to_tls_and_sends_people_there():
    names = ["DEBUG", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT", "CSRF_TRUSTED_ORIGINS"]
    answer = read(
        names,
        PIECEWALL_HOSTS="pay.example.org",
        PIECEWALL_SECRET_KEY=KEY,
        PIECEWALL_ORIGINS="https://pay.example.org",
    )
    assert json.loads(answer.stdout) == dict(
        zip(names, [False, True, True, True, ["https://pay.example.org"]], strict=True)
    )


def test_on_this_machine_alone_plain_http_works_and_each_process_makes_a_key():
    first, second = read(["SECRET_KEY", "SESSION_COOKIE_SECURE", "DEBUG"]), read(["SECRET_KEY"])
    assert json.loads(first.stdout)["SESSION_COOKIE_SECURE"] is False
    assert json.loads(first.stdout)["DEBUG"] is False
    assert json.loads(first.stdout)["SECRET_KEY"] != json.loads(second.stdout)["SECRET_KEY"]


def test_forwarded_tls_is_believed_only_behind_a_proxy():
    ask = ["LOOPBACK_ONLY"]
    plain = read([*ask, "SECURE_PROXY_SSL_HEADER"])
    assert plain.returncode != 0 and "SECURE_PROXY_SSL_HEADER" in plain.stderr
    behind = read([*ask, "SECURE_PROXY_SSL_HEADER"], PIECEWALL_BEHIND_PROXY="1")
    assert json.loads(behind.stdout)["SECURE_PROXY_SSL_HEADER"] == ["HTTP_X_FORWARDED_PROTO", "https"]
