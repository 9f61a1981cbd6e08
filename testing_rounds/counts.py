"""The people's counts: for each zone and size, how many of the answers that count complain, and which way.

Method and limits: docs/algorithms/counts.md.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from testing_rounds.round_data import RoundData, Zone
from testing_rounds.set_aside import USUAL, Answer, Rules, answers

Level = Literal["too_few", "repeated", "watch", "quiet"]
Direction = Literal[-1, 0, 1]
BOTH_WAYS: tuple[Literal[-1], Literal[1]] = (-1, 1)

# With one answer a size says nothing: the body, the fabric or the sewing may have made it.
LEAST_ANSWERS = 2
LEAST_COMPLAINTS = 2


@dataclass(frozen=True)
class Cell:
    """One zone in one size.

    `low` and `high` are the complaints that count, `fits` the answers that count and say "fine";
    `direction` is the side with more complaints (0: none). `counted_answers` and `aside` hold the answers.
    """

    zone: str
    size: str
    low: int
    high: int
    fits: int
    level: Level
    direction: Direction
    statement: str
    counted_answers: tuple[Answer, ...]
    aside: tuple[Answer, ...]

    @property
    def counted(self) -> int:
        return self.low + self.high + self.fits

    def complaints(self, direction: int) -> int:
        return self.low if direction < 0 else self.high

    def repeated(self, direction: int) -> bool:
        """Two or more complaints one way that are at least half of the answers."""
        return is_repeated(self.complaints(direction), self.counted)


@dataclass(frozen=True)
class ZoneTotal:
    """One zone over all sizes: [complaints, answers] that count, and with everything set aside put back."""

    zone: str
    low: int
    high: int
    counted: int
    raw_low: int
    raw_high: int
    raw: int


@dataclass(frozen=True)
class Coverage:
    """One size of the panel: reports sewn in it, and the zones with too few answers that count."""

    size: str
    reports: int
    thin_zones: tuple[str, ...]

    @property
    def enough(self) -> bool:
        return not self.thin_zones


@dataclass(frozen=True)
class Counts:
    """All counts of a round at one stage; `cells` by zone and size, in the round's order."""

    cells: dict[tuple[str, str], Cell]
    totals: dict[str, ZoneTotal]
    coverage: tuple[Coverage, ...]

    def row(self, zone: str) -> tuple[Cell, ...]:
        """The cells of one zone, in the order of the sizes."""
        return tuple(self.cells[zone, one.size] for one in self.coverage)


def count(data: RoundData, rules: Rules = USUAL) -> Counts:
    """The counts of a round whose reports are of one stage. Linear in the answers."""
    groups: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    for answer in answers(data, rules):
        groups[answer.zone, answer.size].append(answer)
    cells = {(zone.key, size): _cell(zone, size, groups[zone.key, size]) for zone in data.zones for size in data.sizes}
    totals = {zone.key: _total(zone.key, (cells[zone.key, size] for size in data.sizes)) for zone in data.zones}
    return Counts(cells, totals, tuple(_coverage(data, cells)))


def is_repeated(complaints: int, counted: int) -> bool:
    return complaints >= LEAST_COMPLAINTS and 2 * complaints >= counted


def level_of(low: int, high: int, fits: int) -> Level:
    """The level of a cell with so many complaints either way and so many answers that fit."""
    counted = low + high + fits
    if counted < LEAST_ANSWERS:
        return "too_few"
    if any(is_repeated(complaints, counted) for complaints in (low, high)):
        return "repeated"
    return "watch" if low or high else "quiet"


def statement(zone: Zone, low: int, high: int, fits: int) -> str:
    """What a cell says: "3 of 4 tight", "2 of 5 tight, 1 of 5 loose", "3 of 3 fit", "no answer counts"."""
    counted = low + high + fits
    if not counted:
        return "no answer counts"
    said = [(low, zone.low), (high, zone.high)]
    if high > low:
        said.reverse()
    return ", ".join(f"{n} of {counted} {word}" for n, word in said if n) or f"{fits} of {counted} fit"


def _cell(zone: Zone, size: str, group: list[Answer]) -> Cell:
    counted = tuple(answer for answer in group if answer.counted)
    low = sum(answer.fit < 0 for answer in counted)
    high = sum(answer.fit > 0 for answer in counted)
    fits = len(counted) - low - high
    return Cell(
        zone=zone.key,
        size=size,
        low=low,
        high=high,
        fits=fits,
        level=level_of(low, high, fits),
        direction=_direction(low, high, sum(answer.fit for answer in counted)),
        statement=statement(zone, low, high, fits),
        counted_answers=counted,
        aside=tuple(answer for answer in group if not answer.counted),
    )


def _direction(low: int, high: int, balance: int) -> Direction:
    """The side with more complaints; of equal sides the stronger one, and else the low one."""
    if not low and not high:
        return 0
    return 1 if (high, balance) > (low, 0) else -1


def _total(zone: str, cells: Iterable[Cell]) -> ZoneTotal:
    low = high = counted = raw_low = raw_high = raw = 0
    for cell in cells:
        low, high, counted = low + cell.low, high + cell.high, counted + cell.counted
        raw_low += cell.low + sum(answer.fit < 0 for answer in cell.aside)
        raw_high += cell.high + sum(answer.fit > 0 for answer in cell.aside)
        raw += cell.counted + len(cell.aside)
    return ZoneTotal(zone, low, high, counted, raw_low, raw_high, raw)


def _coverage(data: RoundData, cells: dict[tuple[str, str], Cell]) -> Iterator[Coverage]:
    reports: dict[str, int] = defaultdict(int)
    for report in data.reports:
        reports[report.size] += 1
    for size in data.sizes:
        thin = tuple(zone.key for zone in data.zones if cells[zone.key, size].level == "too_few")
        yield Coverage(size, reports[size], thin)
