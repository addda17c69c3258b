"""The catalogue: every word and sentence form of a statement in three languages, read once from `words/*.yaml`
and, where it is of the work itself, from `jobs.wording`.

A file holds what belongs together, and an entry its languages side by side, so that a speaker can read them against
each other. Spanish and French are from memory until one has.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jobs.wording.forms import Form, Forms
from jobs.wording.speech import operations, whole, words_file, work_labels

FOLDER = Path(__file__).parent / "words"
RULES = ("rules-us", "rules-canada")
GROUPS = ("lines", "sums", "cautions", "own-rules")


@dataclass(frozen=True, slots=True)
class Part:
    """Forms that stand beside each other inside a sentence, with `between` between them; alone where it is empty."""

    between: str
    forms: Forms


@dataclass(frozen=True, slots=True)
class Catalogue:
    """`labels` by key, then language; `rules` and `operations` by their English; `groups` of forms; `parts` of those;
    `fields` of the law by rule set."""

    labels: Mapping[str, Mapping[str, str]]
    rules: Mapping[str, Mapping[str, str]]
    operations: Mapping[str, Mapping[str, str]]
    groups: Mapping[str, Forms]
    parts: Mapping[str, Part]


@lru_cache(maxsize=1)
def the_catalogue() -> Catalogue:
    """Read and check the files. Raises ValueError naming file and entry where a language is missing."""
    return Catalogue(
        labels=_labels(),
        rules=_by_english(*RULES),
        operations=operations(),
        groups=MappingProxyType({name: Forms(_forms(name, read(name))) for name in GROUPS}),
        parts=MappingProxyType(
            {name: Part(part["between"], Forms(_forms(name, part["one"]))) for name, part in read("parts").items()}
        ),
    )


def _labels() -> Mapping[str, Mapping[str, str]]:
    """Those of statements and those of the work. Raises ValueError for one that both have."""
    own, work = read("labels"), work_labels()
    if twice := own.keys() & work.keys():
        raise ValueError(f"words/labels.yaml: {', '.join(sorted(twice))} are words of the work already. Take them out.")
    return MappingProxyType({**work, **{key: whole("labels", key, words) for key, words in own.items()}})


def read(name: str) -> Any:
    """One file of the catalogue as plain values."""
    return words_file(FOLDER / f"{name}.yaml")


def _by_english(*names: str) -> Mapping[str, Mapping[str, str]]:
    return MappingProxyType({entry["en"]: whole(name, entry["en"], entry) for name in names for entry in read(name)})


def _forms(name: str, entries: list[dict[str, str]]) -> list[Form]:
    return [Form(entry["en"], whole(name, entry["en"], entry)) for entry in entries]
