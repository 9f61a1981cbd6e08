"""What a round tells of size advice: between two sizes, who was happier, those with the smaller or the larger?

It counts and shows; it changes no rule. Method and limits: docs/algorithms/size-lesson.md.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from measurements.sentences import Sentence, gettext_noop, sentence
from testing_rounds.fixed_or_not import LEAST_REPORTS, fisher

Side = Literal["smaller", "larger"]


@dataclass(frozen=True)
class BetweenSizes:
    """One report of a tester whose measures lay between two sizes, `share` of the way to the larger.

    `complaints` are the counted answers on held widths that are no 0, as (zone, fit); `looked` tells that any of them
    was answered at all; `again` is whether the same size would be sewn again, None where unanswered.
    """

    report: int
    lower: str
    upper: str
    share: float
    sewn: str
    complaints: tuple[tuple[str, int], ...] = ()
    looked: bool = True
    again: bool | None = None

    @property
    def side(self) -> Side | None:
        """None where a third size was sewn."""
        return "smaller" if self.sewn == self.lower else "larger" if self.sewn == self.upper else None

    @property
    def happy(self) -> bool | None:
        """No complaint about a width, and the same size again where that was answered; None where nothing was said."""
        if self.complaints or self.again is False:
            return False
        return True if self.looked or self.again else None


@dataclass(frozen=True)
class SideCount:
    """The reports of one side, in the order of the round."""

    happy: tuple[BetweenSizes, ...]
    unhappy: tuple[BetweenSizes, ...]

    @property
    def all(self) -> int:
        return len(self.happy) + len(self.unhappy)


@dataclass(frozen=True)
class SizeLesson:
    """Both sides, and the reports that are on neither: a third size sewn, or nothing said of the widths."""

    smaller: SideCount
    larger: SideCount
    left_out: tuple[BetweenSizes, ...]

    @property
    def enough(self) -> bool:
        return min(self.smaller.all, self.larger.all) >= LEAST_REPORTS

    @property
    def happier(self) -> Side | None:
        """The side with the larger share of happy testers; None with too few, or where both are the same."""
        if not self.enough:
            return None
        small = len(self.smaller.happy) * self.larger.all
        large = len(self.larger.happy) * self.smaller.all
        return None if small == large else "smaller" if small > large else "larger"

    @property
    def chance(self) -> float:
        """How often chance alone makes a difference as large as this or larger (Fisher's exact test, two-sided)."""
        sides = (self.smaller, self.larger)
        small, large = ((len(side.unhappy), len(side.happy)) for side in sides)
        return fisher(small, large)


def size_lesson(reports: Iterable[BetweenSizes]) -> SizeLesson:
    """Count the reports on either side of their boundary."""
    known = list(reports)
    told = [one for one in known if one.side is not None and one.happy is not None]
    return SizeLesson(_count(told, "smaller"), _count(told, "larger"), tuple(one for one in known if one not in told))


def _count(told: list[BetweenSizes], side: Side) -> SideCount:
    of_side = [one for one in told if one.side == side]
    return SideCount(tuple(one for one in of_side if one.happy), tuple(one for one in of_side if not one.happy))


def lesson_sentences(lesson: SizeLesson) -> tuple[Sentence, ...]:
    """What it comes to: the first is the headline."""
    small, large = lesson.smaller, lesson.larger
    counts = {"smaller": small.all, "larger": large.all}
    if not small.all and not large.all:
        said = gettext_noop("No report speaks of a boundary between two sizes.")
        return (sentence("none", said),)
    if not lesson.enough:
        said = gettext_noop("Too few to tell which side of a size boundary is happier.")
        more = gettext_noop(
            "Between two sizes, the smaller was sewn by %(smaller)s and the larger by %(larger)s;"
            " two on each side are the least."
        )
        return sentence("too_few", said), sentence("too_few_counts", more, **counts)
    return _headline(lesson), _counts(small, large), _by_chance(lesson)


def _headline(lesson: SizeLesson) -> Sentence:
    said = gettext_noop("Between two sizes, smaller and larger did equally well.")
    if lesson.happier == "smaller":
        said = gettext_noop("Between two sizes, those who sewed the smaller were happier.")
    elif lesson.happier == "larger":
        said = gettext_noop("Between two sizes, those who sewed the larger were happier.")
    return sentence(lesson.happier or "alike", said)


def _counts(small: SideCount, large: SideCount) -> Sentence:
    said = gettext_noop(
        "Of %(smaller)s who sewed the smaller, %(small)s had no complaint about a width;"
        " of %(larger)s who sewed the larger, %(large)s."
    )
    values = {"smaller": small.all, "small": len(small.happy), "larger": large.all, "large": len(large.happy)}
    return sentence("counts", said, **values)


def _by_chance(lesson: SizeLesson) -> Sentence:
    said = gettext_noop("Chance alone makes such a difference, or a larger one, in %(percent)s of 100 rounds.")
    return sentence("chance", said, percent=round(100 * lesson.chance))
