"""What a panel should cover, and how far a choice of testers falls short of it, in points.

Method, reasons of the weights and limits: docs/algorithms/panel.md. All figures are common practice, no source.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import ceil

from testing_rounds.coverage import (
    OFF_HEIGHT_MM,
    OFF_HEIGHT_SHARE,
    PRINTS_A_FILE,
    RETURNING_SHARE,
    SIZES_A_BEGINNER,
    one_more,
)

# Half of the difference in cup at which a bodice is chosen by the high bust instead of the bust.
CUP_NEAR_MM = Decimal("12.5")
# Waist against hip: at a hip of 100 cm, 2.5 cm of waist, half a step.
FIGURE_NEAR = Decimal("0.025")
BANDS = (-1, 0, 1)


class Goal(StrEnum):
    """What is counted; the order is that in which a page tells it."""

    SEAT = "seat"
    CUP = "cup"
    FIGURE = "figure"
    HEIGHT = "height"
    BEGINNER = "beginner"
    PRINT = "print"
    RETURNING = "returning"


# Points for each one that is missing.
WEIGHTS: Mapping[Goal, int] = {
    # A report that nobody writes is not made up for by any other virtue of a panel: more than all the rest of a size.
    Goal.SEAT: 100,
    # Two bodies alike in one size say one thing twice; a misfit that one body explains looks like the draft's.
    Goal.CUP: 10,
    Goal.FIGURE: 10,
    # These are wanted once or a few times in the whole panel, so that one more can be found in any size.
    Goal.HEIGHT: 8,
    Goal.BEGINNER: 8,
    Goal.PRINT: 8,
    # A returning tester still reports; new eyes are worth half a missing print.
    Goal.RETURNING: 4,
}
Lacks = Counter[tuple[Goal, str]]


@dataclass(frozen=True)
class Candidate:
    """One volunteer. `size` is the size that they would sew: the advised one, or that of a seat which they have.

    `cup_off_mm`: bust minus high bust, less the same of the chart; `figure_off`: waist / hip, less the chart's;
    `height_off_mm`: height minus the height drafted for. None where it was not measured. `seated`: on the panel.
    """

    key: str
    size: str
    cup_off_mm: Decimal | None = None
    figure_off: Decimal | None = None
    height_off_mm: Decimal | None = None
    beginner: bool = False
    paper: str = ""
    returning: bool = False
    seated: bool = False

    @property
    def cup(self) -> int | None:
        """-1 smaller than drafted, 0 near it, 1 fuller."""
        return _band(self.cup_off_mm, CUP_NEAR_MM)

    @property
    def figure(self) -> int | None:
        """-1 less waist for the hip than the chart, 0 near it, 1 more."""
        return _band(self.figure_off, FIGURE_NEAR)

    @property
    def off_height(self) -> bool:
        return self.height_off_mm is not None and abs(self.height_off_mm) >= OFF_HEIGHT_MM


def _band(off: Decimal | None, near: Decimal) -> int | None:
    if off is None:
        return None
    return 0 if abs(off) <= near else (1 if off > 0 else -1)


@dataclass(frozen=True)
class Goals:
    """What is asked for: seats and reserves a size, the kinds of file, and whether these bodies can be compared."""

    seats: Mapping[str, int]
    reserves: Mapping[str, int]
    papers: tuple[str, ...]

    def bands(self, size: str) -> int:
        """How many different cups, and figures, a size can show at most."""
        return min(len(BANDS), self.seats[size])

    @property
    def beginners(self) -> int:
        return ceil(len(self.seats) / SIZES_A_BEGINNER)

    def off_heights(self, people: int) -> int:
        return ceil(people / OFF_HEIGHT_SHARE)

    def returning(self, people: int) -> int:
        return people // RETURNING_SHARE


def goals_of(sizes: Sequence[str], per_size: int, breaks: Collection[str], papers: Iterable[str]) -> Goals:
    """So many a size, one more at both ends and on both sides of a break; a reserve a size, two at the ends."""
    more, ends = one_more(sizes, breaks), {*sizes[:1], *sizes[-1:]}
    return Goals(
        seats={size: per_size + (size in more) for size in sizes},
        reserves={size: 2 if size in ends else 1 for size in sizes},
        papers=tuple(papers),
    )


def lacks(goals: Goals, panel: Collection[Candidate], people: int | None = None) -> Lacks:
    """{(what, size or kind of file): how many are missing} of a panel; what is not missing is left out.

    `people` is the number that the shares are taken of, where another panel is compared with this one.
    """
    count = len(panel) if people is None else people
    found: Lacks = Counter()
    for size, seats in goals.seats.items():
        there = [one for one in panel if one.size == size]
        found[Goal.SEAT, size] = seats - len(there)
        found[Goal.CUP, size] = goals.bands(size) - len({one.cup for one in there} - {None})
        found[Goal.FIGURE, size] = goals.bands(size) - len({one.figure for one in there} - {None})
    found[Goal.HEIGHT, ""] = goals.off_heights(count) - sum(one.off_height for one in panel)
    found[Goal.BEGINNER, ""] = goals.beginners - sum(one.beginner for one in panel)
    for kind in goals.papers:
        found[Goal.PRINT, kind] = PRINTS_A_FILE - sum(one.paper == kind for one in panel)
    found[Goal.RETURNING, ""] = sum(one.returning for one in panel) - goals.returning(count)
    return +found


def points(found: Lacks) -> int:
    """What is missing, weighed."""
    return sum(WEIGHTS[goal] * count for (goal, _of), count in found.items())


def cost(goals: Goals, panel: Collection[Candidate], people: int | None = None) -> int:
    return points(lacks(goals, panel, people))


def lots(lot: str, keys: Iterable[str]) -> dict[str, int]:
    """{key: number from 1}: the order that this lot gives, the same for everybody who works it out."""
    order = sorted(keys, key=lambda key: (hashlib.sha256(f"{lot} {key}".encode()).hexdigest(), key))
    return {key: number for number, key in enumerate(order, start=1)}
