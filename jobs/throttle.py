"""Guessing slowed down, in a way that cannot be used to lock somebody else out.

What is counted are tries, each before it is looked at, so that many at once do not slip through together; a try that
turns out right is taken back. Every counter has a rule: so many tries are free, then each one makes the next wait,
twice as long every time up to a limit, and after a quiet time the counter is forgotten.

Who can lock out whom? If failures were counted by account alone, anybody could keep the owner out by typing his address
with wrong passwords. If they were counted by network alone, a stranger on the site's Wi-Fi could keep out everybody
there, and a net of hired machines would not be slowed at all. So, after the published idea of device cookies (OWASP,
"Slow Down Online Guessing Attacks with Device Cookies"):

- A browser in which somebody once signed in whole (password and, where he has one, second factor) keeps a signed cookie
  for that account (`jobs.browsers`). Its tries are counted by that cookie alone. However much is guessed elsewhere, it
  is let try; a stolen cookie gives a thief one counter of his own and no more.
- Every other browser is counted three times: by account and network together; by network over all accounts, with more
  free tries, for a firm's people share one; and by account over all networks, which begins to slow after 100 failures
  (NIST SP 800-63B, 5.2.2: no more than 100 consecutive failed attempts on an account).
- So the rightful owner in a new browser waits only while more than 100 wrong passwords were typed at his address, and
  even then has two ways in: any browser he used before, or a new password by mail, which makes the browser known.

Codes of a second factor are only asked of somebody who gave the right password. They are counted for a known browser by
its cookie, and for all others by account; a cookie is given after the code, never before it.

A token of the API cannot be guessed (256 random bits). Wrong ones are counted by network to end the noise, and only
wrong ones are told to wait: a good token is never refused for what its neighbours send. Mails are counted by address
and by network that asked, and an address that is not known is counted like one that is. The longest pause between two
mails to one address is half as long as their link lives: however often a stranger asks for one, a good link is at hand.

Counters live in Redis, in one script, and expire by themselves. If Redis does not answer, this process counts in its
own memory: signing in goes on, guessing is still slowed, each process by itself, and the log says so. Keys hold
digests, never an address or a name.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import redis
from django.conf import settings
from django.utils.crypto import salted_hmac

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Rule:
    """How one kind of counter slows: `free` tries, then waits of `first` seconds, doubled each time up to `longest`;
    forgotten `keep` seconds after the last try."""

    name: str
    free: int
    first: int
    longest: int
    keep: int


@dataclass(frozen=True, slots=True)
class Counter:
    """One counter: its rule and whose it is."""

    rule: Rule
    of: str

    @property
    def key(self) -> str:
        whose = salted_hmac("jobs.throttle", self.of, algorithm="sha256").hexdigest()[:32]
        return f"{settings.REDIS_PREFIX}tries:{self.rule.name}:{whose}"


HOUR, DAY = 3600, 86_400
KNOWN_BROWSER = Rule("known-browser", free=10, first=30, longest=HOUR, keep=DAY)
ACCOUNT_AND_NETWORK = Rule("account-and-network", free=5, first=30, longest=HOUR, keep=DAY)
NETWORK = Rule("network", free=50, first=30, longest=HOUR, keep=DAY)
ACCOUNT = Rule("account", free=100, first=60, longest=HOUR, keep=DAY)
# Six digits, three of which are good at a time: five tries find one in 66,667; waits keep it at a few dozen a day.
CODE = Rule("code", free=5, first=60, longest=4 * HOUR, keep=7 * DAY)
KNOWN_CODE = Rule("known-code", free=5, first=60, longest=4 * HOUR, keep=7 * DAY)
PASSWORD_AGAIN = Rule("password-again", free=5, first=60, longest=HOUR, keep=DAY)
BAD_TOKEN = Rule("bad-token", free=30, first=10, longest=600, keep=HOUR)
LINK = Rule("link", free=30, first=10, longest=600, keep=HOUR)
MAIL_TO = Rule("mail-to", free=3, first=300, longest=settings.PASSWORD_RESET_TIMEOUT // 2, keep=DAY)
MAIL_FROM_NETWORK = Rule("mail-from-network", free=20, first=300, longest=4 * HOUR, keep=DAY)
INVITATIONS = Rule("invitations", free=50, first=600, longest=DAY, keep=DAY)

# KEYS: counters. ARGV: now (ms), then free, first, longest, keep (s) of each. Answers ms to wait; 0 means counted.
_TRY = """
local now, wait = tonumber(ARGV[1]), 0
for nth, key in ipairs(KEYS) do
  local till = tonumber(redis.call('HGET', key, 'till') or '0')
  if till - now > wait then wait = till - now end
end
if wait > 0 then return wait end
for nth, key in ipairs(KEYS) do
  local at = (nth - 1) * 4 + 1
  local free, first, longest = tonumber(ARGV[at + 1]), tonumber(ARGV[at + 2]), tonumber(ARGV[at + 3])
  local tries = redis.call('HINCRBY', key, 'tries', 1)
  local pause = 0
  if tries >= free then pause = math.min(first * 2 ^ math.min(tries - free, 40), longest) end
  redis.call('HSET', key, 'till', pause > 0 and string.format('%.0f', now + pause * 1000) or '0')
  redis.call('EXPIRE', key, tonumber(ARGV[at + 4]) + math.floor(pause))
end
return 0
"""
# KEYS: counters. ARGV: free of each. Takes one try back.
_RIGHT = """
for nth, key in ipairs(KEYS) do
  if redis.call('EXISTS', key) == 1 then
    local tries = redis.call('HINCRBY', key, 'tries', -1)
    if tries <= 0 then redis.call('DEL', key)
    elseif tries < tonumber(ARGV[nth]) then redis.call('HSET', key, 'till', '0') end
  end
end
return 0
"""


def wait_or_count(counters: Sequence[Counter], now: float) -> int:
    """Seconds to wait before the next try, or 0, and then this try is counted in every one of the counters.

    `now` is in seconds since 1970.
    """
    moment = round(now * 1000)
    rules = [part for one in counters for part in (one.rule.free, one.rule.first, one.rule.longest, one.rule.keep)]
    answer = _in_redis(_TRY, [one.key for one in counters], [moment, *rules])
    wait = _memory.wait_or_count(counters, moment) if answer is None else answer
    return ceil(wait / 1000)


def was_right(counters: Sequence[Counter]) -> None:
    """Take back the try that was counted last: it was no guess."""
    if _in_redis(_RIGHT, [one.key for one in counters], [one.rule.free for one in counters]) is None:
        _memory.was_right(counters)


def forget(counter: Counter) -> None:
    """Forget a counter whole, as that of an account and network after the right password."""
    client = _client()
    try:
        client.delete(counter.key)
    except redis.exceptions.RedisError as error:
        _away(error)
    _memory.forget(counter)


class Memory:
    """The same counters in this process, for while Redis is away. Holds the newest few thousand."""

    def __init__(self, most: int = 20_000) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, tuple[int, float, float]] = OrderedDict()  # tries, till (ms), forgotten at (ms)

    def wait_or_count(self, counters: Sequence[Counter], now: int) -> int:
        """As the script in Redis: milliseconds to wait, or 0 and counted."""
        with self._lock:
            wait = max((self._standing(one, now)[1] - now for one in counters), default=0)
            if wait > 0:
                return round(wait)
            for one in counters:
                tries = self._standing(one, now)[0] + 1
                over = tries - one.rule.free
                pause = min(one.rule.first * 2 ** min(over, 40), one.rule.longest) if over >= 0 else 0
                till = now + pause * 1000 if pause else 0
                self._kept[one.key] = (tries, till, now + (one.rule.keep + pause) * 1000)
                self._kept.move_to_end(one.key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
            return 0

    def was_right(self, counters: Sequence[Counter]) -> None:
        with self._lock:
            for one in counters:
                if one.key in self._kept:
                    tries, till, end = self._kept[one.key]
                    if tries <= 1:
                        del self._kept[one.key]
                    else:
                        self._kept[one.key] = (tries - 1, 0 if tries - 1 < one.rule.free else till, end)

    def forget(self, counter: Counter) -> None:
        with self._lock:
            self._kept.pop(counter.key, None)

    def _standing(self, counter: Counter, now: int) -> tuple[int, float]:
        tries, till, end = self._kept.get(counter.key, (0, 0, 0))
        return (tries, till) if end > now else (0, 0)


_memory = Memory()
_clients: dict[str, redis.Redis] = {}


def _client() -> redis.Redis:
    url = settings.REDIS_URL
    if url not in _clients:
        # Half a second at most: who signs in should not wait for a Redis that is away.
        _clients[url] = redis.Redis.from_url(url, socket_timeout=0.5, socket_connect_timeout=0.5)
    return _clients[url]


def _in_redis(script: str, keys: list[str], values: Sequence[int]) -> int | None:
    """What the script answers; None where Redis does not."""
    try:
        return int(_client().eval(script, len(keys), *keys, *values))
    except redis.exceptions.RedisError as error:
        _away(error)
        return None


def _away(error: Exception) -> None:
    logger.warning("Redis is away (%s): tries are counted in this process alone.", type(error).__name__)
