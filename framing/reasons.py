"""The words behind each count: one rule, its source and the term in figures, written out only when asked for.

A step of the engine returns `Term`s: which rule, how much it adds, and the figures. `because` turns them into
sentences. Sources are those of `FramingPractice` where the rule rests on an allowance.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from framing.length import exact_words, rounded, square_feet
from framing.pieces import PART_OF, Because
from framing.practice import COMMON_PRACTICE, SOURCES

_DERIVED = "derived"


class Rule(NamedTuple):
    words: str
    source: str
    term: str


class Term(NamedTuple):
    """`amount` in the measure's own unit (ticks, square ticks, or a number); `figures` fill the rule's term in order.

    A whole number among the figures is a length in ticks unless it is wrapped in `Number`.
    """

    measure: str
    rule: str
    amount: int | Fraction
    figures: tuple[object, ...] = ()


class Area(NamedTuple):
    """An area in a term, square ticks, said in square feet."""

    square_ticks: int | Fraction


class Number(int):
    """A plain number in a term, as against a length."""


RULES: dict[str, Rule] = {
    "track piece": Rule("every piece of track, tabs and bent ends included", COMMON_PRACTICE, "{0} track at {1}: {2}"),
    "studs": Rule("studs that stand in the wall, by role", COMMON_PRACTICE, "{1}: {0}"),
    "stud length": Rule("clear height less head gap and the gap over a stud", SOURCES["stud_short"], "{1}: {0} x {2}"),
    "sheet": Rule("stock sheets whose first and largest piece hangs on this wall", _DERIVED, "sheet {0}: {1} x {2}"),
    "bought": Rule("stock sheets started here x their area", _DERIVED, "sheet {0}: {1} x {2} = {3} sq ft"),
    "net": Rule(
        "run x board height, openings above the floor gap left out",
        COMMON_PRACTICE,
        "{0} face, layer {1}: run {2}, from {3} to {4}, less {5} sq ft of openings = {6} sq ft",
    ),
    "net raked": Rule(
        "run x board height under the raked top, openings above the floor gap left out",
        COMMON_PRACTICE,
        "{0} face, layer {1}: run {2}, from {3} to {4} at its start and {5} at its end, less {6} sq ft of openings = "
        "{7} sq ft",
    ),
    "high": Rule(
        "board above the height from which it is priced apart",
        SOURCES["high_board_from"],
        "{0}, layer {1}, above {2}: {3} sq ft",
    ),
    "cap": Rule(
        "cap of a free end: steel and the layers of both faces wide",
        COMMON_PRACTICE,
        "{0}, layer {1}: {2} x {3} = {4} sq ft",
    ),
    "stud screws": Rule(
        "screws of a piece of board into the studs it touches, by spacing and edge distance",
        SOURCES["screw_field"],
        "{0} face, layer {1}, piece at {2}: {3} on {4} stud lines",
    ),
    "cap screws": Rule(
        "screws of a cap into the end stud's web, in two rows at the spacing of ends",
        SOURCES["screw_end_edge"],
        "{0}, layer {1}, piece from {2} up: {3}",
    ),
    "track screws": Rule(
        "screws of a piece of board into the tracks",
        SOURCES["track_screw_spacing"],
        "{0} face, layer {1}, piece at {2}: {3}",
    ),
    "tie screws": Rule(
        "the loose stud is fastened through the board in its slot",
        SOURCES["loose_stud_screw"],
        "{0} screws at most {1} apart over {2}",
    ),
    "stud ends": Rule(
        "one screw through each flange at each end of a stud that is fastened; none into a deflection head",
        SOURCES["stud_end_screws"],
        "{0}: {1} ends x {2}",
    ),
    "bent ends": Rule("head and sill tracks at their bent ends", SOURCES["head_track_screws"], "{0} tracks x {1}"),
    "pins": Rule(
        "2 in from each end of a piece, at most 24 in apart; a lap shares one",
        SOURCES["pin_spacing"],
        "{0} track at {1}, {2} long: {3}",
    ),
    "sealant": Rule("all bottom track is sealed to the floor", SOURCES["sealant_beads"], "{0} x {1} bead"),
    "outside corner": Rule(
        "corner bead over the height of the board", COMMON_PRACTICE, "outside corner with wall {0}: {1}"
    ),
    "free end": Rule("corner bead at each face of a capped free end", COMMON_PRACTICE, "{0}, {1} face: {2}"),
    "flat joint": Rule("tape over each joint of the outermost layer", COMMON_PRACTICE, "{0} face, joint at {1}: {2}"),
    "course joint": Rule("tape over each joint of the outermost layer", COMMON_PRACTICE, "{0} face, {1} up: {2}"),
    "inside angle": Rule("tape in each inside angle of two boarded faces", COMMON_PRACTICE, "with wall {0}: {1}"),
    "in line": Rule("tape where two walls in line meet", COMMON_PRACTICE, "{0} face, with wall {1}: {2}"),
    "skim": Rule(
        "skim coat over the outermost layer at finish level 5",
        "GA-214, ASTM C840 (from memory)",
        "{0} face: {1} sq ft",
    ),
    "corner": Rule("counted once, at the wall that laps", COMMON_PRACTICE, "{1} with wall {0}"),
    "opening": Rule("every framed opening", COMMON_PRACTICE, "{0} {1}"),
    "over opening": Rule("pieces of board that pass over an opening's head", COMMON_PRACTICE, "{0} pieces"),
    "extra": Rule("extras named by the plan", COMMON_PRACTICE, "{0} x {1}"),
}


def because(terms: Iterable[Term], measure: str) -> list[Because]:
    """The reasons of one measure, in the order in which it was counted."""
    found = []
    for term in terms:
        if measure in (term.measure, PART_OF.get(term.measure)):
            rule = RULES[term.rule]
            found.append(Because(rule.words, rule.source, rule.term.format(*map(_words, term.figures))))
    return found


def _words(figure: object) -> str:
    if isinstance(figure, Number):
        return str(int(figure))
    if isinstance(figure, int):
        return exact_words(figure)
    if isinstance(figure, Area):
        return rounded(square_feet(figure.square_ticks))
    return str(figure)
