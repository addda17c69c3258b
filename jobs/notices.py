"""Notices: what to look at when an entry comes, never a refusal. Each says what is seen and what to do next.

Other rooms know things that this one may not, such as rates and closed weeks. They add a maker of notices when the
program starts (`notice_maker_add`); it is asked for all entries of a batch at once. `day_notice_maker_add` is for what
is so of a day, whatever is logged for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Notice:
    """`kind` is one of a few words, `sentence` what is seen, `next` what to do about it."""

    kind: str
    sentence: str
    next: str

    def json(self) -> dict[str, str]:
        return {"kind": self.kind, "sentence": self.sentence, "next": self.next}


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry about to be written, as makers of notices are told of it."""

    uuid: UUID
    job: int
    work_unit: int
    operation: int
    operation_name: str
    worked_on: date
    quantity: Decimal


NoticeMaker = Callable[[Sequence[Logged]], Mapping[UUID, Sequence[Notice]]]
DayNoticeMaker = Callable[[date], Sequence[Notice]]
_makers: list[NoticeMaker] = []
_day_makers: list[DayNoticeMaker] = []


def notice_maker_add(maker: NoticeMaker) -> None:
    """Ask `maker` too, from now on; once, however often it is added. It must take a constant number of queries."""
    if maker not in _makers:
        _makers.append(maker)


def notices_elsewhere(logged: Sequence[Logged]) -> dict[UUID, list[Notice]]:
    """What the makers of other rooms notice, in the order in which they were added. Needs the organisation in scope."""
    found: dict[UUID, list[Notice]] = {}
    for maker in _makers:
        for uuid, notices in maker(logged).items():
            found.setdefault(uuid, []).extend(notices)
    return found


def day_notice_maker_add(maker: DayNoticeMaker) -> None:
    """Ask `maker` too of a day, from now on; once, however often it is added."""
    if maker not in _day_makers:
        _day_makers.append(maker)


def day_notices(day: date) -> list[Notice]:
    """What the makers notice of a day before anything is logged for it. Needs the organisation in scope."""
    return [notice for maker in _day_makers for notice in maker(day)]
