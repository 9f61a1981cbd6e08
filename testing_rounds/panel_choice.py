"""Choosing a panel: the volunteers who together leave the fewest points missing, and the reserves behind them.

The panel is a small whole-number program, solved to its proven best or to a stated bound (HiGHS, by way of scipy).
Among panels that are equally good the lot decides: the lowest sum of lot numbers. Method: docs/algorithms/panel.md.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from testing_rounds.panel_goals import (
    BANDS,
    PRINTS_A_FILE,
    WEIGHTS,
    Candidate,
    Goal,
    Goals,
    cost,
    lots,
)

if TYPE_CHECKING:
    from numpy import ndarray


@dataclass(frozen=True)
class Choice:
    """The picks and reserves by key, in the order of the candidates; `missing` points, and the least that any panel
    could leave (`at_least`, equal when the choice is proven best)."""

    picks: tuple[str, ...]
    reserves: tuple[str, ...]
    missing: int
    at_least: float
    lots: Mapping[str, int]

    @property
    def gap(self) -> float:
        """By how much, as a part of what is missing, a better panel could beat this one; 0 when none can."""
        return max(0.0, self.missing - self.at_least) / self.missing if self.missing else 0.0


def choose_panel(goals: Goals, candidates: Sequence[Candidate], lot: str, seconds: float = 2.0) -> Choice:
    """The best panel from these candidates. Whoever is seated stays; no seat is left empty that somebody could fill.

    Candidates in a size of no seats are left out. `seconds` bounds the search; what it has found by then is
    returned with its bound.
    """
    known = [one for one in candidates if one.size in goals.seats]
    order = lots(lot, (one.key for one in known))
    chosen, at_least = _solve(goals, known, order, seconds) if known else ([], float(cost(goals, [])))
    kept = set(_reserves(goals, known, chosen, order))
    return Choice(
        picks=tuple(one.key for one in chosen),
        reserves=tuple(one.key for one in known if one.key in kept),
        missing=cost(goals, chosen),
        at_least=at_least,
        lots=order,
    )


def to_fill(goals: Goals, candidates: Iterable[Candidate]) -> dict[str, int]:
    """{size: how many the panel will have}: what is asked for, as far as there are people; the seated in any case."""
    there: dict[str, list[Candidate]] = {size: [] for size in goals.seats}
    for one in candidates:
        there[one.size].append(one)
    return {
        size: max(sum(one.seated for one in group), min(goals.seats[size], len(group))) for size, group in there.items()
    }


def replacement(goals: Goals, seated: Collection[Candidate], waiting: Sequence[Candidate], lot: str) -> str | None:
    """The key of who should move up into a free seat of their size: what the panel then misses decides, then the lot.

    None when nobody waits.
    """
    order = lots(lot, (one.key for one in waiting))
    best = min(waiting, key=lambda one: (cost(goals, [*seated, one]), order[one.key]), default=None)
    return best.key if best else None


def _reserves(
    goals: Goals, known: Sequence[Candidate], chosen: Sequence[Candidate], order: Mapping[str, int]
) -> Iterable[str]:
    """For each size those whose stepping in would cost least, over every one of the size who might drop out."""
    picked = {one.key for one in chosen}
    for size, wanted in goals.reserves.items():
        there = [one for one in chosen if one.size == size]
        rest = [one for one in known if one.size == size and one.key not in picked]
        after = {one.key: sum(_swapped(goals, chosen, gone, one) for gone in there) for one in rest}
        yield from sorted(after, key=lambda key: (after[key], order[key]))[:wanted]


def _swapped(goals: Goals, chosen: Sequence[Candidate], gone: Candidate, instead: Candidate) -> int:
    return cost(goals, [instead if one is gone else one for one in chosen])


# the whole-number program


@dataclass
class _Program:
    """Columns with their costs and bounds, and rows `low <= sum of factor * column <= high`."""

    costs: list[float] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def column(self, price: float, least: float = 0, most: float = 1) -> int:
        self.costs.append(price)
        self.least.append(least)
        self.most.append(most)
        return len(self.costs) - 1

    def row(self, factors: dict[int, float], low: float, high: float) -> None:
        self.rows.append((factors, low, high))

    def matrix(self) -> ndarray[Any, Any]:
        import numpy as np

        dense = np.zeros((len(self.rows), len(self.costs)))
        for number, (factors, _low, _high) in enumerate(self.rows):
            for column, factor in factors.items():
                dense[number, column] = factor
        return dense


INFINITE = float("inf")


def _solve(
    goals: Goals, known: Sequence[Candidate], order: Mapping[str, int], seconds: float
) -> tuple[list[Candidate], float]:
    """The chosen, and the least number of points that any panel leaves missing."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    fill = to_fill(goals, known)
    people = sum(fill.values())
    # One point outweighs every sum of lot numbers, so that the lot decides between equals alone.
    point = 1 + sum(sorted(order.values(), reverse=True)[:people])
    program = _Program()
    picks = [program.column(order[one.key], least=one.seated) for one in known]
    _rows_of_sizes(program, goals, known, fill, point)
    _rows_of_panel(program, goals, known, people, point)
    low, high = [row[1] for row in program.rows], [row[2] for row in program.rows]
    found = milp(
        program.costs,
        integrality=[1] * len(program.costs),
        bounds=Bounds(program.least, program.most),
        constraints=LinearConstraint(csr_array(program.matrix()), low, high),
        options={"time_limit": seconds, "mip_rel_gap": 0},
    )
    if found.x is None:
        chosen = _by_lot(known, fill, order)
    else:
        chosen = [one for one, column in zip(known, picks, strict=True) if found.x[column] > 0.5]
    missing = cost(goals, chosen)
    if found.status == 0:
        return chosen, float(missing)
    # What the program's costs leave out is the same for every panel: empty seats, and bands that nobody could show.
    outside = sum(WEIGHTS[Goal.SEAT] * max(0, goals.seats[size] - count) for size, count in fill.items())
    outside += sum((WEIGHTS[Goal.CUP] + WEIGHTS[Goal.FIGURE]) * goals.bands(size) for size in fill)
    bound = found.mip_dual_bound
    return chosen, outside + (bound - point) / point if bound is not None else 0.0


def _rows_of_sizes(
    program: _Program, goals: Goals, known: Sequence[Candidate], fill: Mapping[str, int], point: int
) -> None:
    """Each size is filled; each band of cup and figure that its people show is worth its points, once."""
    for size, count in fill.items():
        there = [column for column, one in enumerate(known) if one.size == size]
        program.row(dict.fromkeys(there, 1), count, count)
        for goal in (Goal.CUP, Goal.FIGURE):
            shown = {}
            for band in BANDS:
                holders = [i for i in there if (known[i].cup if goal is Goal.CUP else known[i].figure) == band]
                if holders:
                    column = program.column(-WEIGHTS[goal] * point)
                    shown[column] = 1.0
                    program.row({column: 1, **dict.fromkeys(holders, -1)}, -INFINITE, 0)
            program.row(shown, 0, goals.bands(size))


def _rows_of_panel(program: _Program, goals: Goals, known: Sequence[Candidate], people: int, point: int) -> None:
    """What is wanted in the whole panel: each one that is missing costs its points."""

    def wanted(goal: Goal, who: Iterable[bool], number: int) -> None:
        missing = program.column(WEIGHTS[goal] * point, most=max(number, 0))
        program.row({missing: 1, **{i: 1 for i, yes in enumerate(who) if yes}}, number, INFINITE)

    wanted(Goal.HEIGHT, (one.off_height for one in known), goals.off_heights(people))
    wanted(Goal.BEGINNER, (one.beginner for one in known), goals.beginners)
    for kind in goals.papers:
        wanted(Goal.PRINT, (one.paper == kind for one in known), PRINTS_A_FILE)
    over = program.column(WEIGHTS[Goal.RETURNING] * point, most=people)
    program.row(
        {over: 1, **{i: -1 for i, one in enumerate(known) if one.returning}}, -goals.returning(people), INFINITE
    )


def _by_lot(known: Sequence[Candidate], fill: Mapping[str, int], order: Mapping[str, int]) -> list[Candidate]:
    """Where the time was too short for any panel: the seated, then by lot."""
    left, chosen = dict(fill), set()
    for one in sorted(known, key=lambda one: (not one.seated, order[one.key])):
        if left[one.size]:
            left[one.size] -= 1
            chosen.add(one.key)
    return [one for one in known if one.key in chosen]
