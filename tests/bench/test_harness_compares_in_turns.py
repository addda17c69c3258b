"""The harness itself, on a clock that we move."""

from __future__ import annotations

import pytest

from tests.bench.harness import Figure, take


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def _figure(clock: Clock, ours: list[float], limit: list[float], goal_is: str, goal: float) -> tuple[Figure, list[str]]:
    """A figure whose rounds last the seconds given (first unmeasured), and the order in which they ran."""
    ran: list[str] = []

    def side(name: str, seconds: list[float]) -> int:
        ran.append(name)
        clock.now += seconds.pop(0)
        return 100

    figure = Figure(
        "walls", "wall", lambda: side("ours", ours), lambda: side("limit", limit), "bare", goal, goal_is, rounds=3
    )
    return figure, ran


def test_the_median_of_round_by_round_ratios_counts_and_turns_alternate():
    # derived: rates 100/2, 100/4, 100/8 against 100/1, 100/1, 100/1 -> ratios 1/2, 1/4, 1/8.
    clock = Clock()
    figure, ran = _figure(clock, [99, 2, 4, 8], [99, 1, 1, 1], "at least", 0.25)
    taken = take(figure, clock)
    assert taken.ratios == (0.5, 0.25, 0.125)
    assert taken.ratio == 0.25 and taken.reached
    assert (taken.ours_rate, taken.limit_rate) == (25, 100)
    assert ran == ["ours", "limit", "ours", "limit", "limit", "ours", "ours", "limit"]


@pytest.mark.parametrize(("goal", "reached"), [(4.0, True), (3.9, False)])
def test_a_goal_of_at_most_compares_times(goal: float, reached: bool):
    # derived: times 2, 4, 8 against 1 -> 2, 4, 8 times as long; median 4.
    clock = Clock()
    figure, _ = _figure(clock, [99, 2, 4, 8], [99, 1, 1, 1], "at most", goal)
    taken = take(figure, clock)
    assert taken.ratio == 4.0
    assert taken.reached is reached
