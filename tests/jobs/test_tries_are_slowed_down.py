"""Counters of tries: free ones, waits that double, one script for many at once, and the same without Redis."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from uuid import uuid4

import pytest
import redis
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st

from jobs import throttle
from jobs.throttle import Counter, Memory, Rule, wait_or_count, was_right
from tests.conftest import keys_forget

NOW = 1_790_000_000.0
RULE = Rule("trial", free=3, first=30, longest=100, keep=1000)
WIDE = Rule("wide", free=5, first=10, longest=40, keep=1000)


@pytest.fixture(autouse=True)
def forgotten() -> None:
    keys_forget("tries:")


def counter(rule: Rule = RULE) -> Counter:
    return Counter(rule, str(uuid4()))


def test_free_tries_then_waits_that_double_up_to_the_longest():
    one, now, waits = counter(), NOW, []
    for _ in range(7):
        wait = wait_or_count([one], now)
        if wait:
            now += wait
            assert wait_or_count([one], now) == 0
        waits.append(wait)
    assert waits == [0, 0, 0, 30, 60, 100, 100]


def test_a_try_that_must_wait_is_not_counted():
    one = counter()
    for _ in range(3):
        assert wait_or_count([one], NOW) == 0
    assert [wait_or_count([one], NOW + 10) for _ in range(5)] == [20] * 5
    assert wait_or_count([one], NOW + 30) == 0


def test_the_longest_wait_of_several_counters_holds_and_none_of_them_counts():
    narrow, wide = counter(), counter(WIDE)
    for _ in range(3):
        assert wait_or_count([narrow, wide], NOW) == 0
    assert wait_or_count([narrow, wide], NOW) == 30
    # The wide one counted three, so two are left in it for others.
    assert [wait_or_count([wide], NOW) for _ in range(3)] == [0, 0, 10]


def test_what_was_right_is_taken_back_and_the_tries_of_others_stay():
    one = counter()
    for _ in range(20):
        assert wait_or_count([one], NOW) == 0
        was_right([one])
    assert [wait_or_count([one], NOW) for _ in range(4)] == [0, 0, 0, 30]


def test_of_64_at_once_no_more_than_the_free_ones_get_through():
    one = counter()
    together = Barrier(64)

    def guess(_: int) -> int:
        together.wait(timeout=60)
        return wait_or_count([one], NOW)

    with ThreadPoolExecutor(max_workers=64) as threads:
        waits = list(threads.map(guess, range(64)))
    assert (waits.count(0), waits.count(30)) == (RULE.free, 64 - RULE.free)


def test_counters_are_forgotten_by_redis_itself_and_hold_no_name():
    one = Counter(RULE, "una@example.org")
    wait_or_count([one], NOW)
    with redis.Redis.from_url(settings.REDIS_URL) as client:
        assert 0 < client.ttl(one.key) <= RULE.keep
    assert "una" not in one.key
    throttle.forget(one)


@given(steps=st.lists(st.tuples(st.sampled_from("trx"), st.integers(0, 60), st.booleans()), max_size=25))
def test_this_process_alone_counts_as_redis_does(steps: list[tuple[str, int, bool]]):
    memory, now = Memory(), NOW
    narrow, wide = counter(), counter(WIDE)
    for kind, seconds, both in steps:
        now += seconds
        counters = [narrow, wide] if both else [wide]
        if kind == "t":
            by_memory = -(-memory.wait_or_count(counters, round(now * 1000)) // 1000)
            assert wait_or_count(counters, now) == by_memory
        elif kind == "r":
            was_right(counters)
            memory.was_right(counters)
        else:
            throttle.forget(narrow)
            memory.forget(narrow)


def test_without_redis_guessing_is_still_slowed_and_the_log_says_so(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
):
    # Port 1 of this machine answers nobody.
    monkeypatch.setattr(settings, "REDIS_URL", "redis://127.0.0.1:1/0")
    one = counter()
    with caplog.at_level(logging.WARNING):
        assert [wait_or_count([one], NOW) for _ in range(4)] == [0, 0, 0, 30]
    assert "Redis is away" in caplog.text
    was_right([one])
    assert wait_or_count([one], NOW) == 0


def test_memory_is_bounded():
    memory = Memory(most=10)
    for _ in range(50):
        memory.wait_or_count([counter()], round(NOW * 1000))
    assert len(memory._kept) == 10


def test_rules_keep_what_the_sources_ask():
    # NIST SP 800-63B, 5.2.2: no more than 100 consecutive failed attempts on one account.
    assert throttle.ACCOUNT.free <= 100
    # A stranger who asks for mails never keeps a good link away for longer than one lives; derived.
    assert throttle.MAIL_TO.longest * 2 <= settings.PASSWORD_RESET_TIMEOUT
    # Three codes of six digits are good at a time: a year of guessing finds one in less than 1 of 100; derived.
    a_year = throttle.CODE.free + 365 * throttle.DAY // throttle.CODE.longest
    assert a_year * 3 * 100 < 10**6
