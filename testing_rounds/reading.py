"""Readings: for each zone, what its complaints together say of the pattern.

One function, `read`, whatever the method. A method is a function (RoundData, Rules) -> list of Reading, one
for each zone in the round's order, pure, loaded when it is first asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from importlib import import_module
from typing import Any, Literal

from testing_rounds.counts import Cell, Counts, Level
from testing_rounds.round_data import RoundData
from testing_rounds.set_aside import USUAL, Rules

Shape = Literal["none", "whole_range", "growing_up", "growing_down", "one_size", "from_size"]
Pole = Literal[-1, 1]
Method = Callable[[RoundData, Rules], list["Reading"]]

# Each method and where it lives. Loaded late: a method may need a heavy library that a web process does without.
METHODS: dict[str, str] = {
    "counts": "testing_rounds.first_reading:read_by_counts",
    "plain": "testing_rounds.likelihood.plain:read_plain",
    "weighed": "testing_rounds.likelihood.weighed:read_weighed",
}
USUAL_METHOD = "weighed"


class UnknownMethodError(ValueError):
    """No method has this name. Its text is one sentence."""


@dataclass(frozen=True)
class Reading:
    """What one zone says, in the fields and the order of a printed reading.

    `direction` is -1 for the zone's low word and +1 for its high one, `sizes` the sizes touched.
    `counts` is {size: [complaints in the direction, usable answers]} as the method saw them, `counted`
    the same after everything set aside. `correction_cm` and `interval_cm` are {size: cm, + is bigger}
    and {size: [low, high]}; both are {} for "none". `more_reports` says for each size that is neither named nor
    cleared how many more reports that fit would clear it. What a method does not give is None.
    """

    zone: str
    reading: Shape
    direction: Pole
    sizes: tuple[str, ...]
    strength: float | None
    level: Level
    correction_cm: dict[str, float] | None
    interval_cm: dict[str, tuple[float, float]] | None
    cleared_sizes: tuple[str, ...]
    thin_sizes: tuple[str, ...]
    counts: dict[str, tuple[int, int]]
    counted: dict[str, tuple[int, int]]
    reading_strength: float | None
    score: float | None
    alternatives: dict[str, float | None]
    why: str
    more_reports: dict[str, int] | None = None

    def as_dict(self) -> dict[str, Any]:
        """The reading as values of JSON; `more_reports` stands there where the method gives it."""
        values = asdict(self)
        if self.more_reports is None:
            del values["more_reports"]
        return values

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> Reading:
        """The reading that as_dict made these values of, after a round through JSON."""
        pairs = {key: {size: tuple(pair) for size, pair in values[key].items()} for key in ("counts", "counted")}
        lists = {key: tuple(values[key]) for key in ("sizes", "cleared_sizes", "thin_sizes")}
        interval = values["interval_cm"]
        ends = None if interval is None else {size: tuple(pair) for size, pair in interval.items()}
        return cls(**{**values, **pairs, **lists, "interval_cm": ends})


@dataclass(frozen=True)
class Flag:
    """A size that is flagged in a zone: by its own cell, by the zone's reading, or by both."""

    zone: str
    size: str
    direction: Pole
    by: Literal["cell", "reading", "both"]


def read(
    data: RoundData, *, method: str = USUAL_METHOD, stage: str | None = None, rules: Rules = USUAL
) -> list[Reading]:
    """One reading for each zone of a round, in the round's order.

    One stage is read at a time, so that nobody counts twice: `stage`, else the toiles
    (RoundData.at_stage). Raises UnknownMethodError.
    """
    return _method(method)(data.at_stage(stage), rules)


def _method(name: str) -> Method:
    if name not in METHODS:
        raise UnknownMethodError(f"{name!r} is no method of reading; the methods are {', '.join(METHODS)}")
    module, _, function = METHODS[name].partition(":")
    found: Method = getattr(import_module(module), function)
    return found


def flags(counts: Counts, readings: Iterable[Reading]) -> Iterator[Flag]:
    """Every size flagged in a zone, by its own cell or by the zone's reading; zones and sizes in their order."""
    for reading in readings:
        named = set(reading.sizes) if reading.level == "repeated" else set()
        for cell in counts.row(reading.zone):
            by_cell = _repeated_ways(cell)
            if cell.size in named:
                by_both = reading.direction in by_cell
                yield Flag(cell.zone, cell.size, reading.direction, "both" if by_both else "reading")
            for direction in by_cell:
                if cell.size not in named or direction != reading.direction:
                    yield Flag(cell.zone, cell.size, direction, "cell")


def _repeated_ways(cell: Cell) -> list[Pole]:
    both: tuple[Pole, Pole] = (-1, 1)
    return [direction for direction in both if cell.repeated(direction)]
