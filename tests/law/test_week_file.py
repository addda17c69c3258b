"""The week file is read exactly, and everything wrong in it is said at once."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from payroll.law import WeekMistakes, price, read_week

GOOD: dict[str, Any] = {
    "format": "piecewall week 1",
    "rules": "us-federal",
    "week_start": "2026-03-02",
    "worker": {"name": "A. Example", "class": "journeyman"},
    "pieces": [{"date": "2026-03-02", "operation": "hang board", "quantity": "1228", "unit": "sq ft", "rate": "0.40"}],
    "hours": [
        {"date": "2026-03-02", "kind": "piece", "hours": "9"},
        {"date": "2026-03-03", "kind": "waiting", "hours": "1:30", "rate": "8.00"},
    ],
}


def written(**changes: Any) -> str:
    return json.dumps({**GOOD, **changes})


def mistakes(text: str | bytes) -> tuple[str, ...]:
    with pytest.raises(WeekMistakes) as wrong:
        price(read_week(text))
    return wrong.value.mistakes


def test_every_key_of_the_format_is_read() -> None:
    week = read_week(
        written(
            pieces=[{**GOOD["pieces"][0], "job": "Library", "hours": "7:45", "first_hour": "0.5"}],
            bonuses=[{"date": "2026-03-06", "amount": "50.00", "kind": "production", "why": "units over the norm"}],
            terms={
                "hourly_guarantee": "18.50",
                "guarantee_hours": "all",
                "pieces_cover_all_hours": True,
                "overtime_on_piece_rate": True,
            },
            prevailing=[
                {
                    "job": "Library",
                    "class": "lather",
                    "basic": "31.20",
                    "fringe": "7.30",
                    "hours": "40",
                    "pieces": "1400.00",
                }
            ],
            minimum_wage={"rate": "15.00", "why": "invented ordinance"},
            time_zone="America/Chicago",
        )
    )
    piece = week.pieces[0]
    assert (piece.hours, piece.first_hour, piece.job) == (Fraction(31, 4), Fraction(1, 2), "Library")
    assert week.terms.hourly_guarantee == Decimal("18.50")
    assert week.terms.guarantee_hours == "all"
    assert week.terms.pieces_cover_all_hours
    assert week.terms.overtime_on_piece_rate
    assert week.prevailing[0].basic == Decimal("31.20")
    assert week.minimum_wage is not None
    assert week.minimum_wage.rate == Decimal("15.00")
    assert week.bonuses[0].amount == Decimal("50.00")
    assert week.hours[1].hours == Fraction(3, 2)


def test_a_number_without_quotes_is_read_exactly() -> None:
    # 0.1 has no exact binary fraction; three of them must be 0.3 and nothing else. Derived.
    text = written().replace('"1228"', "0.1").replace('"0.40"', "3")
    assert read_week(text).pieces[0].quantity * 3 == Fraction(3, 10)


@pytest.mark.parametrize("hours", ["1:40", '"1:40"'])
def test_hours_and_minutes_are_exact(hours: str) -> None:
    if hours.startswith('"'):
        assert read_week(written().replace('"1:30"', hours)).hours[1].hours == Fraction(5, 3)
    else:
        assert "line 1" in mistakes(written().replace('"1:30"', hours))[0]


def change(where: str, key: str, value: Any) -> str:
    rows = [dict(row) for row in GOOD[where]]
    rows[0][key] = value
    return written(**{where: rows})


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (written(colour="red"), "unknown key 'colour'. Known keys: format, rules,"),
        (change("pieces", "price", "1"), "pieces 1: unknown key 'price'. Known keys: date, operation,"),
        (written(format="piecewall week 2"), "format: 'piecewall week 2' is not 'piecewall week 1'. Only that format"),
        (written(rules="us-fed"), "rules: 'us-fed' is not a rule set. Known: us-federal, us-california,"),
        (
            change("pieces", "date", "2026-03-09"),
            "pieces 1 (hang board, 2026-03-09): the date is outside the week 2026-03-02 to",
        ),
        (
            change("pieces", "date", "2026-02-30"),
            'pieces 1: date "2026-02-30" is not a date of the calendar from 1900 to 2999.',
        ),
        (change("pieces", "quantity", "a lot"), 'pieces 1: quantity "a lot" is not a decimal'),
        (change("pieces", "quantity", "1e9"), 'pieces 1: quantity "1e9" is not a decimal'),
        (change("pieces", "quantity", "-5"), "quantity -5 sq ft is negative, which would take back earned pay."),
        (change("pieces", "rate", "0"), "rate 0 is not above zero. Give the agreed money for one sq ft."),
        (change("pieces", "rate", "-0.40"), "rate -0.40 is not above zero."),
        (
            change("pieces", "rate", "0.4000001"),
            "pieces 1 (hang board, 2026-03-02): rate 0.4000001 has more than six decimals. Give at most six.",
        ),
        (
            change("pieces", "hours", "10"),
            "pieces on 2026-03-02: 10 h are given to pieces, but only 9 piece hours are recorded.",
        ),
        (
            written(pieces=[{**GOOD["pieces"][0], "hours": "5", "first_hour": "6"}]),
            "first_hour 6 and 5 h reach past the 9 h worked that day.",
        ),
        (change("pieces", "first_hour", "1"), "has a first_hour but no hours."),
        (change("hours", "hours", "25"), "hours on 2026-03-02: 25 h are more than that day's 24 h"),
        (change("hours", "hours", "-1"), "hours 1 (piece, 2026-03-02): -1 hours are negative."),
        (change("hours", "hours", "9:75"), 'hours 1: hours "9:75" is neither a decimal nor h:mm.'),
        (change("hours", "kind", "standby"), "kind 'standby' is unknown. Use one of piece, waiting, travel,"),
        (change("hours", "rate", "9.00"), "piece time has a rate of 9.00, but is paid by its pieces."),
        (
            written(terms={"hourly_guarantee": "7.00"}),
            "terms: hourly_guarantee 7.00 is below the minimum wage of 7.25 an hour",
        ),
        (
            written(terms={"guarantee_hours": "some"}),
            "terms: guarantee_hours 'some' is unknown. Use one of productive, all.",
        ),
        (
            written(terms={"pieces_cover_all_hours": "yes"}),
            'terms: pieces_cover_all_hours is "yes", neither true nor false.',
        ),
        (written(worker={"class": "journeyman"}), "worker: 'name' is missing. Add it as a text."),
        (written(worker="A. Example"), 'worker: is "A. Example", not a table.'),
        (written(pieces={}), "pieces is a table, not a list."),
        (written(week_start="9999-12-31"), 'week_start "9999-12-31" is not a date of the calendar from 1900 to 2999.'),
        (
            written(week_start="1979-03-05"),
            "no minimum wage is known for us-federal before 1981-01-01 (asked for 1979-03-05)",
        ),
        (
            written(deductions=[{"date": "2026-03-02", "amount": "25.00", "why": "spoiled board"}]),
            "deductions (2026-03-02, 25.00): refused. No deduction may cut into the minimum wage",
        ),
        (
            written(bonuses=[{"date": "2026-03-06", "amount": "-5.00", "kind": "flat", "why": "broken blade"}]),
            "amount -5.00 is not above zero; a bonus cannot take pay away.",
        ),
        (written(bonuses=[{"date": "2026-03-06", "amount": "5.005", "kind": "flat", "why": "x"}]), "finer than a cent"),
        (
            written(bonuses=[{"date": "2026-03-06", "amount": "5", "kind": "secret", "why": "x"}]),
            "kind 'secret' is unknown.",
        ),
        (written()[:-1], "line 1, column"),
        (written().replace('"rules"', '"format"'), "the key 'format' is given twice in one table."),
        (written().replace('"9"', "NaN"), "NaN is no number."),
        ("[1, 2]", "is a list, not a table."),
        ("[" * 100_000, "nested too deep"),
    ],
)
def test_a_mistake_names_thing_value_reason_and_next_step(text: str, says: str) -> None:
    found = mistakes(text)
    assert any(says in sentence for sentence in found), found
    assert all(sentence.endswith(".") for sentence in found)


# What may not reach a reader's screen: ESC begins a terminal's control sequence (ECMA-48, 5.3), U+202E turns the order
# of what follows (Unicode Standard Annex 9, 2.2), and half of a pair has no UTF-8 (RFC 3629, 3). From memory.
@pytest.mark.parametrize(
    ("letter", "named"), [("\x1b", "U+001B"), ("\n", "U+000A"), ("\u202e", "U+202E"), ("\ud800", "U+D800")]
)
@pytest.mark.parametrize(("where", "key"), [("pieces", "operation"), ("pieces", "unit"), ("hours", "job")])
def test_a_letter_that_cannot_be_shown_is_a_mistake(where: str, key: str, letter: str, named: str) -> None:
    says = f"{where} 1: {key} holds a character that cannot be shown, {named}. Take it out."
    assert says in mistakes(change(where, key, f"A{letter}B"))


@pytest.mark.parametrize("letter", ["\x9b", "\u202e", "\ud800"])
def test_a_mistake_shows_any_value_in_letters_that_can_be_shown(letter: str) -> None:
    for text in (change("pieces", "date", letter), change("hours", "hours", letter), written(rules=letter)):
        assert all(sentence.isprintable() for sentence in mistakes(text))


def test_figures_of_other_scripts_are_not_guessed_at() -> None:
    # 3.5 in Arabic-Indic digits; a decimal of the week file is in the digits of JSON (RFC 8259, 6, from memory).
    three_and_a_half = "\u0663.\u0665"
    assert "is not a decimal" in mistakes(change("pieces", "rate", three_and_a_half))[0]
    assert "is neither a decimal nor h:mm" in mistakes(change("hours", "hours", "\u0668:\u0660\u0660"))[0]


def test_a_file_that_is_not_text_is_refused() -> None:
    assert "not UTF-8" in mistakes(b"\xff\xfe{}")[0]


@pytest.mark.parametrize("rules", ["us-federal", "us-california", "ca-ontario", "ca-alberta", "ca-british-columbia"])
def test_every_rule_set_of_the_format_is_there(rules: str) -> None:
    assert read_week(written(rules=rules, hours=[GOOD["hours"][0]])).rules == rules


def test_readings_are_read_and_an_unknown_one_is_a_mistake() -> None:
    named = written(rules="ca-alberta", hours=[GOOD["hours"][0]], readings=["half-minimum-wage"])
    assert read_week(named).readings == ("half-minimum-wage",)
    assert price(read_week(named)).gross
    with pytest.raises(WeekMistakes, match="'most' is not a reading of us-federal"):
        price(read_week(written(readings=["most"])))
    assert 'readings is "most", not a list of texts' in mistakes(written(readings="most"))[0]


def test_an_agreed_rate_below_the_minimum_is_a_mistake() -> None:
    # 29 CFR 778.318(b): other time may be agreed lower than pieces, but at least at the minimum. From memory.
    rows = [GOOD["hours"][0], {**GOOD["hours"][1], "rate": "7.24"}]
    assert mistakes(written(hours=rows)) == (
        "hours 2 (waiting, 2026-03-03): the agreed rate 7.24 is below the minimum wage of 7.25 an hour (29 USC "
        "206(a)(1)(C)). "
        "Agree on at least that.",
    )


def test_time_that_nothing_gives_a_rate_is_a_mistake() -> None:
    rows = [{"date": "2026-03-03", "kind": "waiting", "hours": "4"}]
    assert (
        "no rate was agreed, and the week has no piece hours whose rate it could earn"
        in mistakes(written(hours=rows))[0]
    )


def test_all_mistakes_are_said_at_once() -> None:
    pieces = [{**GOOD["pieces"][0], "date": "2026-03-09"}, {**GOOD["pieces"][0], "quantity": "many"}]
    hours = [
        {"date": "2026-03-02", "kind": "piece", "hours": "25"},
        {"date": "2026-03-03", "kind": "nap", "hours": "-2"},
    ]
    found = mistakes(written(rules="us-fed", colour="red", pieces=pieces, hours=hours))
    assert len(found) == 7
    for word in ("us-fed", "colour", "2026-03-09", "many", "25 h", "nap", "-2"):
        assert sum(word in sentence for sentence in found) >= 1, word


def test_the_worked_weeks_of_the_fixtures_come_out() -> None:
    folder = Path(__file__).parents[2] / "fixtures" / "weeks"
    worked = json.loads((folder / "expected.json").read_text())
    assert {path.stem for path in folder.glob("*.json")} - {"expected"} == set(worked)
    for name, expected in worked.items():
        assert str(price(read_week(folder / f"{name}.json")).gross) == expected["gross"], name
        assert expected["source"]


FINE = "8.1234567"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (written(hours=[{**GOOD["hours"][1], "rate": FINE}]), "rate"),
        (written(terms={"hourly_guarantee": FINE}), "terms: hourly_guarantee"),
        (
            written(terms={"part_guarantees": [{"rate": FINE, "from": "2026-03-02", "to": "2026-03-03"}]}),
            "terms: part_guarantees 1: rate",
        ),
        (written(minimum_wage={"rate": FINE, "why": "an ordinance"}), "minimum_wage: rate"),
        (
            written(local_minimums=[{"rate": FINE, "why": "an ordinance", "day": "2026-03-02"}]),
            "local_minimums 1: rate",
        ),
    ],
)
def test_an_hourly_rate_that_no_statement_shows_whole_is_refused(text: str, says: str) -> None:
    assert any(f"{says} {FINE} has more than six decimals. Give at most six." in one for one in mistakes(text))
    assert price(read_week(text.replace(FINE, "7.250000000"))).gross > 0
