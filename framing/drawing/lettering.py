"""Letters on paper: how wide they are, and lengths with real fractions.

Widths are those of the Helvetica faces in the Adobe Core 14 font metrics, which Arial, Liberation Sans and the faces
of every PDF reader share; a letter that the table lacks counts as a broad one, so text is never wider than allowed for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple
from unicodedata import east_asian_width

from framing.length import TICKS_PER_INCH, TICKS_PER_MM, Length, length_text, rounded, to_sixteenth

MM_PER_POINT = 25.4 / 72
FRACTION_SIZE, FRACTION_RISE = 0.64, 0.32
"""Numerator and denominator against the letters beside them: their size, and how far the numerator is raised."""

_REGULAR = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 "
    "584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 "
    "278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 333 333 "
    "584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 611 278 278 556 278 889 611 611 611 611 389 556 "
    "333 611 556 778 556 556 500 389 280 389 584"
)
_OTHERS = {"·": 278, "×": 584, "°": 400, "–": 556, "—": 1000, "½": 834, "¼": 834, "¾": 834, "\u00a0": 278}
_WIDTHS = {
    is_bold: {chr(code): int(width) for code, width in enumerate(table.split(), 32)} | _OTHERS
    for is_bold, table in ((False, _REGULAR), (True, _BOLD))
}
_BROAD, _FULL = 800, 1000
_FRACTION = re.compile(r"(?<![\d/])(?:(?<=\d) )?(\d{1,3})/(\d{1,3})(?![\d/])")


class Part(NamedTuple):
    """A stretch of letters set alike. `size`: against the text's own; `rise`: upwards, against it too."""

    words: str
    size: float = 1.0
    rise: float = 0.0


@lru_cache(maxsize=20_000)
def parts(words: str) -> tuple[Part, ...]:
    """Words with every fraction taken apart: `3 5/8"` is 3, a small raised 5, a slash, a small 8, and the mark.

    Joined again, the parts are the words themselves: the space before a fraction is kept, set small.
    """
    found: list[Part] = []
    done = 0
    for match in _FRACTION.finditer(words):
        before = words[done : match.start(1)]
        if before.endswith(" ") and before[:-1].endswith(tuple("0123456789")):
            found += [Part(before[:-1]), Part(" ", 0.35)]
        elif before:
            found.append(Part(before))
        found += [
            Part(match[1], FRACTION_SIZE, FRACTION_RISE),
            Part("/", 0.9),
            Part(match[2], FRACTION_SIZE),
        ]
        done = match.end()
    if done < len(words):
        found.append(Part(words[done:]))
    return tuple(found)


@lru_cache(maxsize=20_000)
def span(words: str, size: float, *, is_bold: bool = False) -> float:
    """Width of words in mm, set in `size` points."""
    thousandths = sum(part.size * _width(part.words, is_bold) for part in parts(words))
    return thousandths / 1000 * size * MM_PER_POINT


def _width(words: str, is_bold: bool) -> int:
    table = _WIDTHS[is_bold]
    return sum(table.get(letter) or (_FULL if east_asian_width(letter) in "WF" else _BROAD) for letter in words)


def wrap(words: str, width: float, size: float, *, is_bold: bool = False) -> list[str]:
    """Break words into lines no wider than `width` mm; a single word longer than that is broken too."""
    lines: list[str] = []
    for word in words.split():
        if lines and span(f"{lines[-1]} {word}", size, is_bold=is_bold) <= width:
            lines[-1] += f" {word}"
            continue
        rest = word
        while span(rest, size, is_bold=is_bold) > width and len(rest) > 1:
            fits = max(1, sum(span(rest[:n], size, is_bold=is_bold) <= width for n in range(1, len(rest))))
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return lines


def clipped(words: str, width: float, size: float, *, is_bold: bool = False) -> str:
    """Words cut to a width, with a full stop for what is left out."""
    if span(words, size, is_bold=is_bold) <= width:
        return words
    for length in range(len(words) - 1, 0, -1):
        short = f"{words[:length].rstrip()}."
        if span(short, size, is_bold=is_bold) <= width:
            return short
    return ""


def listed(words: Iterable[str]) -> str:
    """`A`, `A and B`, `A, B and C`."""
    said = list(words)
    return " and ".join([", ".join(said[:-1]), said[-1]]) if len(said) > 1 else "".join(said)


@lru_cache(maxsize=20_000)
def say(length: Length | Fraction, *, is_metric: bool = False) -> str:
    """A length as a crew reads it: feet and inches to 1/64 in, or millimetres with one decimal at most.

    One that is finer (a wall at a slant, a metric plan read in inches) is rounded to 1/16 in and says so with `~`.
    """
    if is_metric:
        tenths = rounded(Fraction(length) / TICKS_PER_MM, 1)
        return f"{'' if Fraction(tenths) * TICKS_PER_MM == length else '~'}{tenths} mm"
    exact = _readable(length)
    return f"{'' if exact == length else '~'}{length_text(exact)}"


@lru_cache(maxsize=20_000)
def say_inches(length: Length | Fraction, *, is_metric: bool = False) -> str:
    """A length in inches alone, as a tape reads it: `121 13/16"`. Rounded as `say` does."""
    if is_metric:
        return say(length, is_metric=True)
    exact = _readable(length)
    whole, part = divmod(Fraction(abs(exact), TICKS_PER_INCH), 1)
    said = " ".join(str(one) for one in (whole, part) if one) or "0"
    return f'{"" if exact == length else "~"}{"-" if exact < 0 else ""}{said}"'


def _readable(length: Length | Fraction) -> Length:
    """The length itself where 1/64 in shows it, else the nearest 1/16 in."""
    if (Fraction(length) * 64 / TICKS_PER_INCH).denominator == 1:
        return int(length)
    return to_sixteenth(round(length))
