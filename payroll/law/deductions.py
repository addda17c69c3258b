"""Why nothing is taken from earned pay: what each rule set says of deductions, with its citation.

No rule set here computes one. Where a law allows a deduction up to a limit, it is made in the firm's own payroll.
"""

from __future__ import annotations

from payroll.law.parameter_book import ParameterBook


def why_refused(book: ParameterBook, rules: str) -> str:
    """`RULE (CITE.)` of a rule set. Raises LookupError for an unknown one."""
    rule = book.rule(rules, "deductions")
    return f"{rule.text} ({rule.cite}.)"
