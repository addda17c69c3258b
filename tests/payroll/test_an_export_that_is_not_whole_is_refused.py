"""An export that is not whole, or was made to hurt, is refused with a sentence, and nothing is left of it."""

from __future__ import annotations

import io
import json
import zipfile

import pytest

from jobs.refusals import Invalid
from jobs.tenancy import organisation_ids
from tests.payroll.test_an_organisation_can_be_taken_away import exported, files, restore, rewritten, rows
from tests.payroll.world import World

__all__ = ["exported"]


def wrong_files(content: bytes) -> dict[str, tuple[bytes, str]]:
    found = files(content)
    shares = found["tables/entryshare.csv"].decode()
    people = found["tables/person.csv"].decode()
    statement = found["tables/statement.csv"]
    first = rows(found["tables/entryshare.csv"])[0]["quantity"]
    other_format = b'{"format": "2"}'
    uneven = shares.replace(first, "0.0001", 1).encode()
    nobody = statement.replace(b"\n1,1,1,1,", b"\n1,1,1,999,", 1)
    head = found["tables/person.csv"].splitlines()[0]
    manifest = {**json.loads(found["manifest.json"]), "rows": None}
    no_day = people.replace("2026-01-05", "2026-13-05", 1).encode()

    def lying(name: str, inside: bytes) -> bytes:
        return rewritten(content, {name: inside}, honest=False)

    def honest(name: str, inside: bytes | None) -> bytes:
        return rewritten(content, {name: inside})

    return {
        "no zip": (b"PK nonsense", "is no export of an organisation"),
        "another format": (lying("manifest.json", other_format), "Use the version that made it"),
        "a changed file": (lying("tables/person.csv", b"x"), "SHA-256 is not the one"),
        "a missing file": (honest("tables/person.csv", None), "the file is missing"),
        "a file more": (lying("tables/x.csv", b""), "does not stand in the manifest"),
        "a column more": (honest("tables/person.csv", b"wage," + people.encode()), "columns differ in: wage"),
        "shares that do not add up": (honest("tables/entryshare.csv", uneven), "add up"),
        "a row that points nowhere": (honest("tables/statement.csv", nobody), "cannot be restored"),
        "a day that is none": (honest("tables/person.csv", no_day), "cannot be restored"),
        "a cell more": (honest("tables/person.csv", people.encode().rstrip() + b",x"), "as many cells"),
        "a quote that stays open": (honest("tables/person.csv", head + b'\n1,"x'), "not as an export is written"),
        "no text": (honest("tables/person.csv", head + b"\n\xff\xfe"), "no CSV in UTF-8"),
        "no number of a row": (
            honest("tables/person.csv", head + b"\nx" + b"," * head.count(b",")),
            "not as an export",
        ),
        "nested without end": (honest("organisation.json", b"[" * 200_000), "not as an export is written"),
        "no object": (honest("organisation.json", b"[1, 2]"), "not as an export is written"),
        "a file for elsewhere": (honest("../../elsewhere", b"x"), "no export has such a file"),
        "a manifest nested without end": (lying("manifest.json", b"[" * 200_000), "is no export of an organisation"),
        "a manifest without rows": (lying("manifest.json", json.dumps(manifest).encode()), "does not state"),
        "a file in pieces": (broken(content, "tables/person.csv"), "SHA-256 is not the one"),
    }


def broken(content: bytes, name: str) -> bytes:
    """The zip with noise in the packed bytes of one file."""
    at = zipfile.ZipFile(io.BytesIO(content)).getinfo(name).header_offset + 30 + len(name) + 4
    return content[:at] + bytes(byte ^ 0x5A for byte in content[at : at + 40]) + content[at + 40 :]


@pytest.mark.parametrize(
    "kind",
    ["no zip", "another format", "a changed file", "a missing file", "a file more", "a column more",
     "shares that do not add up", "a row that points nowhere", "a day that is none", "a cell more",
     "a quote that stays open", "no text", "no number of a row", "nested without end", "no object",
     "a file for elsewhere", "a manifest nested without end", "a manifest without rows", "a file in pieces"],
)  # fmt: skip
def test_what_is_not_whole_is_refused_and_nothing_left(committed_db: None, exported: tuple[World, bytes], kind: str):
    content, said = wrong_files(exported[1])[kind]
    before = organisation_ids()
    with pytest.raises(Invalid, match=said):
        restore(content)
    assert organisation_ids() == before
