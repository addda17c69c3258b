"""Readings: where a text leaves open what it asks for, the answers that can be named, and the one that is used.

Each question of a rule set has one reading that is used unless the office names another in a week's `readings`. A
reading that is not the one used by default is contested: it stays off until named, and a statement that uses it says
so. A question whose default is not settled carries a caution too.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from payroll.law import week as w

OVERTIME_OF_PIECES = "overtime of piece work"
REGULAR_RATE = "regular rate of piece work"


@dataclass(frozen=True, slots=True)
class Reading:
    """One answer to one open question of a rule set: its name, what it does, and the caution of a week that uses it."""

    rules: str
    question: str
    name: str
    says: str
    caution: str = ""


_ASK = "Ask Employment Standards or a licensed payroll practice which one holds before this is paid."

# The first of each question is used by default.
READINGS = (
    Reading(
        "ca-alberta",
        OVERTIME_OF_PIECES,
        "minimum-wage-on-top",
        "Piece work has no wage rate of its own, so the minimum wage (or a higher hourly rate agreed for other time) "
        "stands for it; one and a half times that is overtime pay, besides the pieces themselves.",
        "Alberta's overtime on piece work: one and a half times the minimum wage was paid besides the pieces. The "
        "official summary settles the minimum wage as the base, but not that the pieces do not count towards it; "
        f"other readings: half-minimum-wage, half-average-earnings. {_ASK}",
    ),
    Reading(
        "ca-alberta",
        OVERTIME_OF_PIECES,
        "half-minimum-wage",
        "The minimum wage stands for the wage rate, and pieces made in overtime hours count as its straight part; half "
        "of it is owed on top.",
        "Contested reading half-minimum-wage: only half the minimum wage was paid on top of the pieces of overtime "
        f"hours. {_ASK}",
    ),
    Reading(
        "ca-alberta",
        OVERTIME_OF_PIECES,
        "half-average-earnings",
        "The average of the week's pay for all its hours is the wage rate; half of it is owed on top.",
        "Contested reading half-average-earnings: overtime was paid on the week's average earnings, for which no text "
        f"was found. {_ASK}",
    ),
    Reading(
        "ca-ontario",
        REGULAR_RATE,
        "straight-earnings",
        "What the straight hours earned, over the straight hours.",
    ),
    Reading(
        "ca-ontario",
        REGULAR_RATE,
        "all-earnings",
        "All the week's earnings, those of overtime hours too, over the straight hours.",
        "Contested reading all-earnings: the week's whole earnings were divided by the straight hours. Courts are "
        "reported to have rejected it (Director v. Sleep Country Canada, Div. Ct. 2023). Ask the Ministry of Labour or "
        "a licensed payroll practice before this is paid.",
    ),
)
_BY_NAME = MappingProxyType({(reading.rules, reading.name): reading for reading in READINGS})


def offered(rules: str) -> tuple[Reading, ...]:
    """The readings of a rule set, the default of each question first; none where no question is open."""
    return tuple(reading for reading in READINGS if reading.rules == rules)


def default(rules: str, question: str) -> Reading:
    """The reading of a question that is used unless a week names another."""
    return next(reading for reading in READINGS if reading.rules == rules and reading.question == question)


def used(week: w.WorkerWeek, question: str) -> Reading:
    """The reading of a week for a question: the one it names, else the default. The week has been checked."""
    named = (_BY_NAME[(week.rules, name)] for name in week.readings)
    return next((reading for reading in named if reading.question == question), default(week.rules, question))


def reading_mistakes(week: w.WorkerWeek) -> list[str]:
    """Readings that the week's rule set does not offer, or two answers to one question; one sentence each."""
    known = ", ".join(reading.name for reading in offered(week.rules)) or "none"
    found, questions = [], []
    for name in week.readings:
        reading = _BY_NAME.get((week.rules, name))
        if reading is None:
            found.append(f"readings: {name!r} is not a reading of {week.rules}. It offers: {known}.")
        elif reading.question in questions:
            found.append(f"readings: {name} is a second answer for the {reading.question}. Name one.")
        else:
            questions.append(reading.question)
    return found
