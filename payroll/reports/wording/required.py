"""What the law of a place asks a statement to show: each field with its citation, and where it is to be found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from payroll.reports.wording.catalogue import read

_CHECKED = ("official", "secondary", "derived", "memory")


@dataclass(frozen=True, slots=True)
class RequiredField:
    """`field` is the label `field.<field>`; `here` is false for what the employer's own payroll adds, as net pay."""

    field: str
    cite: str
    here: bool


@dataclass(frozen=True, slots=True)
class Required:
    """Fields that a rule set's law names, and how its text was checked (a key of `checked.`)."""

    fields: tuple[RequiredField, ...]
    checked: str

    @property
    def here(self) -> tuple[RequiredField, ...]:
        return tuple(field for field in self.fields if field.here)

    @property
    def elsewhere(self) -> tuple[RequiredField, ...]:
        return tuple(field for field in self.fields if not field.here)


@lru_cache(maxsize=1)
def required_by_rules() -> Mapping[str, Required]:
    """Required fields by rule set."""
    return MappingProxyType({name: _required(entry) for name, entry in read("required").items()})


def required_of(rules: str) -> Required | None:
    """What the law asks of a statement under a rule set, or under several with commas between; None where none is
    known. How the texts were checked is that of the least checked one."""
    found = [required_by_rules()[name] for name in rules.split(", ") if name in required_by_rules()]
    if not found:
        return None
    fields = dict.fromkeys(field for required in found for field in required.fields)
    return Required(tuple(fields), max((required.checked for required in found), key=_CHECKED.index))


def _required(entry: dict[str, Any]) -> Required:
    fields = tuple(
        RequiredField(one["field"], one["cite"], here)
        for place, here in (("here", True), ("payroll", False))
        for one in entry[place]
    )
    return Required(fields, entry["checked"]["how"])
