"""The reading by counts: which sizes repeat a complaint, and what pattern they make in the range.

It weighs nothing and proposes no correction; it is the plain reading that can be checked by hand. Method,
limits and a worked example: docs/algorithms/first-reading.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from testing_rounds.counts import Cell, Level, count
from testing_rounds.reading import Pole, Reading, Shape
from testing_rounds.round_data import RoundData, Zone
from testing_rounds.set_aside import Rules

# Sizes that can be read must lie in two thirds of the range before the whole of it is spoken of.
LEAST_THIRDS = 2
# One size at the end of the range is one size; two together are a run.
LEAST_RUN = 2
# A lone complaint in a size is nobody's pattern; two in one size, or in half of the sizes, are worth watching.
LEAST_GATHERED = 2


def read_by_counts(data: RoundData, rules: Rules) -> list[Reading]:
    """One reading for each zone."""
    counts = count(data, rules)
    return [read_zone(zone, counts.row(zone.key)) for zone in data.zones]


def read_zone(zone: Zone, cells: Sequence[Cell]) -> Reading:
    """The reading of one zone from its cells in the order of the sizes, in the direction that says more."""
    low, high = _Side.of(cells, -1), _Side.of(cells, 1)
    side = high if high.weight > low.weight else low
    word = zone.low if side.direction < 0 else zone.high
    counted = {cell.size: (cell.complaints(side.direction), cell.counted) for cell in cells}
    return Reading(
        zone=zone.key,
        reading=side.shape,
        direction=side.direction,
        sizes=side.sizes,
        strength=None,
        level=_level(side, cells),
        correction_cm={} if side.shape == "none" else None,
        interval_cm={} if side.shape == "none" else None,
        cleared_sizes=tuple(cell.size for cell in cells if cell.level == "quiet"),
        thin_sizes=tuple(cell.size for cell in cells if cell.level == "too_few"),
        counts=counted,
        counted=counted,
        reading_strength=None,
        score=None,
        alternatives={"from_size": None} if side.shape in ("growing_up", "growing_down") else {},
        why="; ".join(f"{counted[size][0]} of {counted[size][1]} {word} in size {size}" for size in side.sizes),
    )


@dataclass(frozen=True)
class _Side:
    """One direction of one zone: the shape its repeated sizes make, those sizes, all its complaints."""

    direction: Pole
    shape: Shape
    sizes: tuple[str, ...]
    complaints: int

    @classmethod
    def of(cls, cells: Sequence[Cell], direction: Pole) -> _Side:
        shape, touched = _shape(cells, direction)
        complaints = sum(cell.complaints(direction) for cell in cells)
        return cls(direction, shape, tuple(cell.size for cell in touched), complaints)

    @property
    def weight(self) -> tuple[bool, int, int]:
        return self.shape != "none", len(self.sizes), self.complaints


def _shape(cells: Sequence[Cell], direction: Pole) -> tuple[Shape, Sequence[Cell]]:
    """The pattern that the repeated sizes make, and the sizes in it. Sizes with too few answers are passed over."""
    readable = [cell for cell in cells if cell.level != "too_few"]
    repeated = [cell for cell in readable if cell.repeated(direction)]
    if not repeated:
        return "none", ()
    if _everywhere(cells, readable, repeated):
        return "whole_range", repeated
    up, down = _run(readable[::-1], direction)[::-1], _run(readable, direction)
    run = max(up, down, key=lambda run: (len(run), sum(cell.complaints(direction) for cell in run)))
    if LEAST_RUN <= len(run) < len(readable):
        return ("growing_up" if run is up else "growing_down"), run
    return ("one_size", repeated) if len(repeated) == 1 else ("none", ())


def _everywhere(cells: Sequence[Cell], readable: Sequence[Cell], repeated: Sequence[Cell]) -> bool:
    """At least half of the sizes repeat the complaint, some in each third of the range that can be read."""
    thirds = _thirds(cells, readable)
    across = len(thirds) >= min(LEAST_THIRDS, len(cells))
    return across and 2 * len(repeated) >= len(readable) and _thirds(cells, repeated) == thirds


def _thirds(cells: Sequence[Cell], some: Sequence[Cell]) -> set[int]:
    """The thirds of the range (0, 1, 2) in which some of its sizes lie; a range of two has only two parts."""
    place = {cell.size: i for i, cell in enumerate(cells)}
    return {place[cell.size] * 3 // len(cells) for cell in some}


def _run(cells: Sequence[Cell], direction: Pole) -> list[Cell]:
    """The repeated sizes that stand together at the beginning."""
    run: list[Cell] = []
    for cell in cells:
        if not cell.repeated(direction):
            break
        run.append(cell)
    return run


def _level(side: _Side, cells: Sequence[Cell]) -> Level:
    """Of the zone: repeated with a reading, watch where complaints gather without one, quiet where the sizes can be
    read, too few where more than half of them cannot."""
    if side.shape != "none":
        return "repeated"
    readable = [cell for cell in cells if cell.level != "too_few"]
    complaining = [cell for cell in readable if cell.complaints(side.direction)]
    gathered = any(cell.complaints(side.direction) >= LEAST_GATHERED for cell in readable)
    if gathered or (len(complaining) >= LEAST_GATHERED and 2 * len(complaining) >= len(readable)):
        return "watch"
    return "quiet" if 2 * len(readable) >= len(cells) else "too_few"
