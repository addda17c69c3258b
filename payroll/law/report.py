"""A priced week written out: as the JSON that the week file's description promises, and as a statement in words."""

from __future__ import annotations

import textwrap
from typing import Any

from payroll.law import week as w
from payroll.law.explain import clock, plain, rate, said
from payroll.law.parameter_book import ParameterValue
from payroll.law.workweek import last_day

WIDTH = 100


def as_json(priced: w.PricedWeek) -> dict[str, Any]:
    """The printed JSON: money and rates as strings, hours and quantities as decimal strings for reading."""
    return {
        "lines": [_line(line) for line in priced.lines],
        "hours": {
            "total": plain(priced.hours.total),
            "overtime": plain(priced.hours.overtime),
            "double": plain(priced.hours.double),
        },
        "regular_rate": None if priced.regular_rate is None else rate(priced.regular_rate),
        "regular_rate_because": [because_json(reason) for reason in priced.regular_rate_because],
        "floors": [
            {
                "code": floor.code,
                "text": floor.text,
                "required": str(floor.required),
                "paid": str(floor.paid),
                "top_up": str(floor.top_up),
                "result": "met" if floor.met else "topped up",
                "because": [because_json(reason) for reason in floor.because],
            }
            for floor in priced.floors
        ],
        "gross": str(priced.gross),
        "currency": priced.currency,
        "rules_version": priced.rules_version,
        "cautions": list(priced.cautions),
        "parameters": [parameter_json(value) for value in priced.parameters],
    }


def _line(line: w.Line) -> dict[str, Any]:
    return {
        "code": line.code,
        "text": line.text,
        "job": line.job,
        "operation": line.operation,
        "quantity": plain(line.quantity),
        "unit": line.unit,
        "rate": rate(line.rate),
        "amount": str(line.amount),
        "because": [because_json(reason) for reason in line.because],
    }


def because_json(reason: w.Because) -> dict[str, Any]:
    """One reason as JSON: code, rule, cite, how it was checked, the sum, and its parameters."""
    return {
        "code": reason.code,
        "rule": reason.rule,
        "cite": reason.cite,
        "checked": reason.checked,
        "working": reason.working,
        "parameters": [parameter_json(value) for value in reason.parameters],
    }


def parameter_json(value: ParameterValue) -> dict[str, str]:
    """One parameter value as JSON, with everything that stands behind it."""
    return {
        "jurisdiction": value.jurisdiction,
        "name": value.name,
        "value": value.text,
        "unit": value.unit,
        "from": value.starts.isoformat(),
        "status": value.status,
        "cite": value.cite,
        "checked": value.checked,
        "checked_on": value.checked_on.isoformat(),
    }


def as_text(week: w.WorkerWeek, priced: w.PricedWeek) -> str:
    """The statement as plain text, at most WIDTH wide, each line with its reason and its sum."""
    who = f"{week.worker_name}, {week.worker_class}" if week.worker_class else week.worker_name
    out = [
        f"{who}",
        f"Workweek {week.week_start} to {last_day(week.week_start)}, rules {priced.rules_version}, money in "
        f"{priced.currency}",
        "",
    ]
    for line in priced.lines:
        out.extend(_statement_line(line))
    out += [f"{'GROSS':<{WIDTH - 14}}{_grouped(str(priced.gross)):>14}", ""]
    hours = priced.hours
    out.append(
        f"Hours worked {clock(hours.total)}, of which overtime {clock(hours.overtime)}, double time "
        f"{clock(hours.double)}"
    )
    if priced.regular_rate is None:
        out.append("Regular rate: not used this week")
    else:
        out.append(f"Regular rate: {said(priced.regular_rate, 2)} an hour")
        shown = {reason for line in priced.lines for reason in line.because}
        for reason in priced.regular_rate_because:
            out.extend(_reason(reason) if reason not in shown else ["    worked out at the overtime premium above"])
    out += ["", "Floors tested"] if priced.floors else []
    for floor in priced.floors:
        result = "met" if floor.met else f"topped up by {floor.top_up}"
        out.append(f"  {floor.text}: required {floor.required}, paid {floor.paid}: {result}")
        for reason in floor.because:
            out.extend(_reason(reason))
    out += ["", "Numbers of the law used"] if priced.parameters else []
    for value in priced.parameters:
        name = value.name.replace("_", " ")
        ground = f"from {value.starts}, {value.status}, {value.cite} ({value.checked})"
        out.extend(_wrapped(f"{name}: {value.text} {value.unit}, {ground}", first="  ", rest="    "))
    out += ["", "Cautions"]
    for caution in priced.cautions:
        out.extend(_wrapped(caution, WIDTH, first="  - ", rest="    "))
    out += [
        "",
        '"About" marks a figure rounded for reading; sums go on with the exact one, and each line is rounded once.',
    ]
    return "\n".join(out)


def _wrapped(text: str, width: int = WIDTH, first: str = "", rest: str = "") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)


def _statement_line(line: w.Line) -> list[str]:
    of_job = f" ({line.job})" if line.job else ""
    left = line.text + of_job
    if line.unit not in ("week", "bonus"):
        quantity = clock(line.quantity) if line.unit == "h" else f"{_grouped(plain(line.quantity))} {line.unit}"
        left = f"{left}: {quantity} x {said(line.rate, 2)}"
    wrapped = _wrapped(left, WIDTH - 16) or [""]
    out = [*wrapped[:-1], f"{wrapped[-1]:<{WIDTH - 14}}{_grouped(str(line.amount)):>14}"]
    for reason in line.because:
        out.extend(_reason(reason))
    return [*out, ""]


def _reason(reason: w.Because) -> list[str]:
    out = _wrapped(f"{reason.rule} [{reason.cite}, {reason.checked}]", WIDTH, first="    ", rest="    ")
    if reason.working:
        out += _wrapped(reason.working, WIDTH, first="        ", rest="        ")
    return out


def _grouped(figure: str) -> str:
    whole, point, rest = figure.partition(".")
    return f"{int(whole):,}{point}{rest}"
