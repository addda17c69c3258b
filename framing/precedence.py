"""An order that keeps rules of the form "this before that", with wishes where nothing is asked.

Where rules run in a ring, one of the ring's own rules is let go, no more: the one that costs least.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from typing import NamedTuple, TypeAlias

Wish: TypeAlias = tuple[int, ...]
"""What goes first where no rule says: the smaller wish."""


class Before(NamedTuple):
    """`first` comes before `then`, by number. `is_tie`: may be let go with a remedy, before any other rule."""

    first: int
    then: int
    because: str
    is_tie: bool = False


@dataclass(slots=True)
class Order:
    """`steps[i]`: place of number i, from 1. `broken`: rules let go."""

    steps: list[int]
    broken: set[Before] = field(default_factory=set)


def in_order(wishes: Sequence[Wish], rules: Sequence[Before]) -> Order:
    """Put all numbers in order. Time in proportion to the rules, near enough, however many rings there are."""
    return _Sorting(wishes, rules).run()


class _Sorting:
    def __init__(self, wishes: Sequence[Wish], rules: Sequence[Before]) -> None:
        self.wishes = wishes
        self.order = Order([0] * len(wishes))
        self.after: dict[int, list[Before]] = defaultdict(list)
        self.held: dict[int, list[Before]] = defaultdict(list)
        self.waiting = [0] * len(wishes)
        for rule in rules:
            self.after[rule.first].append(rule)
            self.held[rule.then].append(rule)
            self.waiting[rule.then] += 1

    def run(self) -> Order:
        """Number after number: the most wished for of those that wait for nothing; a ring is opened where all wait."""
        steps, numbers = self.order.steps, range(len(self.wishes))
        ready = [(self.wishes[number], number) for number in numbers if not self.waiting[number]]
        later = [(self.wishes[number], number) for number in numbers if self.waiting[number]]
        heapify(ready)
        heapify(later)
        step = 0
        while step < len(steps):
            while not ready:
                while steps[later[0][1]]:
                    heappop(later)
                freed = self._open_ring(later[0][1])
                if not self.waiting[freed]:
                    heappush(ready, (self.wishes[freed], freed))
            _, number = heappop(ready)
            step += 1
            steps[number] = step
            for rule in self.after.get(number, ()):
                if rule not in self.order.broken:
                    self.waiting[rule.then] -= 1
                    if not self.waiting[rule.then]:
                        heappush(ready, (self.wishes[rule.then], rule.then))
        return self.order

    def _open_ring(self, number: int) -> int:
        """Let go of what holds one number of a ring that holds this one up; answers that number."""
        place: dict[int, int] = {}
        walk: list[int] = []
        while number not in place:
            place[number] = len(walk)
            walk.append(number)
            number = next(self._open(number)).first
        ring = walk[place[number] :]
        members = set(ring)

        def cost(one: int) -> tuple[bool, Wish]:
            return not all(rule.is_tie for rule in self._open(one) if rule.first in members), self.wishes[one]

        freed = min(ring, key=cost)
        for rule in [rule for rule in self._open(freed) if rule.first in members]:
            self.order.broken.add(rule)
            self.waiting[freed] -= 1
        return freed

    def _open(self, number: int) -> Iterator[Before]:
        """The rules that still hold a number up."""
        return (
            rule for rule in self.held[number] if not self.order.steps[rule.first] and rule not in self.order.broken
        )
