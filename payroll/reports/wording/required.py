"""What the law of a place asks a statement to show: each field with its citation, and where it is to be found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from payroll.reports.wording.catalogue import read


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


def _required(entry: dict[str, Any]) -> Required:
    fields = tuple(
        RequiredField(one["field"], one["cite"], here)
        for place, here in (("here", True), ("payroll", False))
        for one in entry[place]
    )
    return Required(fields, entry["checked"]["how"])
