"""A template that speaks three languages holds no words of its own, names only labels that there are, and the refusals
of a worker's way have a form in each language."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from jobs.wording import LANGUAGES, work_words
from jobs.wording.forms import TYPES
from jobs.wording.speech import refusals, work_labels
from payroll.reports.wording.catalogue import the_catalogue
from tests.support.processes import PROJECT

TEMPLATES = sorted(
    path
    for app in ("jobs", "payroll")
    for path in (PROJECT / app / "templates").rglob("*")
    if path.suffix in {".html", ".txt"}
)
SPEAKING = [path for path in TEMPLATES if re.search(r"\bwords\.labels|say words ", path.read_text(encoding="utf-8"))]
# Names of the site, of formats and of a clock; the frame of every page says the office's way in English.
NAMES = {"Piecewall", "PDF", "CSV", "UTC", "h"}
FRAMES = {"base.html"}
LABEL = re.compile(r"\b(?:l|own|labels)\.(\w+)|say (?:guest\.)?words \"([^\"]+)\"")
# Where a worker, or a foreman who logs an entry, can be refused something.
REFUSING = [
    "pages/signing",
    "pages/passwords",
    "pages/second_factor",
    "pages/devices",
    "pages/words",
    "pages/invitation",
    "pages/log",
    "pages/entry_form",
    "pages/photos",
    "pages/typed",
    "services/words",
    "services/devices",
    "services/second_factors",
    "services/receipts",
    "services/photos",
    "services/entries",
    "services/entry_decisions",
    "spoken",
    "pictures",
    "days",
]
# Said to the office, and of hours and money, whose pages are English.
NOT_THEIRS = {
    "the role worker does not decide this. Ask an owner.",
    "No amount was given. Write it as 0.42 or 21.50.",
    "“X” is no amount of ours. Write digits and a decimal point alone, six decimals at most, such as 0.42 or 21.50.",
    "“X” is no time. Write hours such as 8, 7.5 or 7:30.",
    "X h is X minutes. Write whole minutes, such as 7:25.",
}
# Put into other sentences.
PARTS = {
    "Make a new UUID for a new operation.",
    " or 12'-6\".",
    "is no day. Write it as 2026-11-23.",
    "is no day of ours: years go from X to X. Check the year.",
}


def test_the_site_knows_the_languages_of_the_catalogue():
    assert tuple(code for code, _ in settings.LANGUAGES) == LANGUAGES
    assert dict(settings.LANGUAGES) == {code: work_words(code).labels["language"] for code in LANGUAGES}


@pytest.mark.parametrize("path", [path for path in SPEAKING if path.name not in FRAMES], ids=lambda path: path.name)
def test_a_template_that_speaks_has_no_words_of_its_own(path: Path):
    text = re.sub(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    shown = re.sub(r'<a lang="en"[^>]*>[^<]*</a>|<[^>]*>', " ", text)
    read_out = re.findall(r'\b(?:alt|aria-label|data-name|placeholder|title)="([^"]*)"', text)
    words = {word for part in (shown, *read_out) for word in re.findall(r"[^\W\d_]+", part)}
    assert words <= NAMES


def test_every_label_that_a_template_names_is_there():
    named = {
        key.split(".")[0] if dotted else key
        for path in SPEAKING
        for dotted, plain in LABEL.findall(path.read_text(encoding="utf-8"))
        for key in [dotted or plain]
    }
    assert len(named) > 200
    # `role.` and its like are put together with what a record says; every value is tried by the pages' tests.
    assert sorted(named - the_catalogue().labels.keys()) == []


def test_every_label_has_the_same_slots_in_each_language():
    for key, words in work_labels().items():
        slots = {language: set(re.findall(r"\{(\w+)\}", words[language])) for language in LANGUAGES}
        assert len({frozenset(names) for names in slots.values()}) == 1, key


@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_every_refusal_on_the_way_is_said(language: str):
    unsaid, found = [], 0
    for name in REFUSING:
        for sentence in sentences(PROJECT / "jobs" / f"{name}.py"):
            found += 1
            if not work_words(language).refusal(sentence).own and sentence not in NOT_THEIRS | PARTS:
                unsaid.append((name, sentence))
    assert unsaid == []
    assert found > 70


def test_forms_of_refusals_put_in_only_what_they_read():
    for form in refusals().forms:
        for language in LANGUAGES[1:]:
            assert form.named_in(language) <= set(form.slots), form.en
        assert set(form.slots.values()) <= {*TYPES, "role", "thing", "counted", "said", "told_in"}


# What a slot may hold, for the sentence to be read back as it is at work.
SAMPLES = {
    "actor.role": "worker",
    "request.says": "disputed",
    "path": "days",
    "again": "Make a new UUID for a new operation.",
    "example": "Write a number such as 12.5 or 10 1/2.",
    "wrong": "is no day. Write it as 2026-11-23.",
    "of": "0 left of 5 LF",
    "unit": "LF",
    "unit_word": "LF",
    "part.unit": "feet",
    "len(form.note)": "501",
    "NAME_LENGTH": "80",
    "LONGEST_LIFE.days": "730",
}


def sentences(path: Path) -> Iterator[str]:
    """Texts of a module that are written to be read: with a full stop at the end, and no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.body[0].value) for node in ast.walk(tree) if isinstance(node, DOCUMENTED) and _has_docstring(node)}
    inner = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    for node in ast.walk(tree):
        text = ""
        if isinstance(node, ast.JoinedStr):
            text = "".join(_part(part) for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs | inner:
            text = node.value
        if text.endswith(".") and " " in text:
            yield text


DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef)


def _has_docstring(node: ast.Module | ast.ClassDef | ast.FunctionDef) -> bool:
    return ast.get_docstring(node) is not None


def _part(part: ast.expr) -> str:
    if isinstance(part, ast.Constant):
        return str(part.value)
    assert isinstance(part, ast.FormattedValue)
    return SAMPLES.get(ast.unparse(part.value), "X")
